/** /api/openapi.json (OpenAPI 3.1), made from the routes and the schemas that parse them. */
import { toJsonSchema } from "@valibot/to-json-schema";
import type { GenericSchema } from "valibot";
import { PlanDraftSchema } from "../../shared/plan/model/plan.ts";
import type { Route } from "./route.ts";

export function openApi(routes: readonly Route[], version: string): object {
  const paths: Record<string, Record<string, object>> = {};
  for (const route of routes) {
    const path = route.path.replace(/:(\w+)/g, "{$1}");
    paths[path] = { ...paths[path], [route.method]: operation(route) };
  }
  return {
    openapi: "3.1.0",
    info: {
      title: "Noonfall hub",
      version,
      description:
        "Times are UTC. Predictions are off by seconds: the last word is the eye. Filters stay on except in totality at a site inside the path.",
    },
    paths,
    components: {
      securitySchemes: {
        lead: { type: "http", scheme: "bearer", description: "Token of POST /api/lead/session" },
        rig: { type: "http", scheme: "bearer", description: "Token of GET /api/rigs/{id}/link" },
        marshal: { type: "http", scheme: "bearer", description: "Token of GET /api/marshals/link" },
      },
      schemas: { Error: ERROR },
    },
  };
}

/** /api/plan.schema.json: what PUT /api/plan takes. */
export function planSchema(): object {
  return {
    $schema: "https://json-schema.org/draft/2020-12/schema",
    title: "Noonfall plan",
    ...schemaOf(PlanDraftSchema),
  };
}

const ERROR = {
  type: "object",
  required: ["error"],
  properties: {
    error: {
      type: "object",
      required: ["code", "message"],
      properties: {
        code: { type: "string" },
        message: { type: "string" },
        field: { type: "string" },
        rule: { type: "string", description: "Number of the safety rule that forbids it" },
        data: { type: "object", description: "What the message tells, for programs; by `code`" },
      },
    },
  },
};

function operation(route: Route): object {
  const parameters = [
    ...[...route.path.matchAll(/:(\w+)/g)].map(([, name]) => ({
      name,
      in: "path",
      required: true,
      schema: { type: "string" },
    })),
    ...queryParameters(route.query),
    ...Object.entries(route.headers ?? {}).map(([name, description]) => ({
      name,
      in: "header",
      required: false,
      description,
      schema: { type: "string" },
    })),
  ];
  const type = route.answersAs ?? "application/json";
  return {
    summary: route.summary,
    ...(route.access === "anyone" ? { security: [] } : { security: [{ [route.access]: [] }] }),
    ...(parameters.length > 0 ? { parameters } : {}),
    ...(route.body
      ? { requestBody: { required: true, content: { "application/json": { schema: schemaOf(route.body) } } } }
      : route.rawBody
        ? { requestBody: { required: true, content: { "application/octet-stream": {} } } }
        : {}),
    responses: {
      [route.status ?? 200]: {
        description: "Done",
        ...(route.status === 204
          ? {}
          : { content: { [type]: route.answers ? { schema: schemaOf(route.answers, "output") } : {} } }),
      },
      default: {
        description: "Refused",
        content: { "application/json": { schema: { $ref: "#/components/schemas/Error" } } },
      },
    },
  };
}

function queryParameters(schema: GenericSchema | undefined): object[] {
  if (!schema) return [];
  const json = schemaOf(schema) as { properties?: Record<string, object>; required?: string[] };
  return Object.entries(json.properties ?? {}).map(([name, property]) => ({
    name,
    in: "query",
    required: json.required?.includes(name) ?? false,
    schema: property,
  }));
}

/** What comes in is described as it is sent, what goes out as it is made: defaults are filled in. */
function schemaOf(schema: GenericSchema, typeMode: "input" | "output" = "input"): object {
  const { $schema: _, ...rest } = toJsonSchema(schema, {
    errorMode: "ignore",
    // Units of forms: no keyword of JSON Schema, and names carry them.
    ignoreActions: ["metadata"],
    typeMode,
    target: "draft-2020-12",
  }) as Record<string, unknown>;
  return rest;
}
