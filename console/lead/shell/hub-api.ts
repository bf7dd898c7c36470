/**
 * The hub's HTTP interface as the console uses it. Refusals are values: the hub's own error with
 * its code, field and rule, or `unreachable` when nobody answered. Nothing here throws for them.
 */
export interface Problem {
  /** The hub's code, or "unreachable" when there was no answer. */
  code: string;
  /** English, as the hub says it; pages translate by code where they can. */
  message: string;
  status: number;
  field?: string;
  rule?: string;
  data?: Readonly<Record<string, unknown>>;
}

export type Result<Value> = { ok: true; value: Value; headers: Headers } | { ok: false; problem: Problem };

export interface HubApi {
  get<Value>(path: string, signal?: AbortSignal): Promise<Result<Value>>;
  send<Value>(
    method: "POST" | "PUT" | "DELETE",
    path: string,
    body?: unknown,
    headers?: Record<string, string>,
  ): Promise<Result<Value>>;
  /** Sends a file as it is. */
  upload<Value>(path: string, file: Blob): Promise<Result<Value>>;
  /** A file as the hub names it. */
  file(path: string): Promise<Result<{ blob: Blob; name: string }>>;
}

/** `signedOut` is called when the hub no longer knows the token. */
export function hubApi(token: string | null, signedOut: () => void): HubApi {
  async function ask(path: string, init: RequestInit): Promise<Response | Problem> {
    const headers = new Headers(init.headers);
    if (token) headers.set("Authorization", `Bearer ${token}`);
    let response: Response;
    try {
      response = await fetch(path, { ...init, headers, cache: "no-store" });
    } catch (cause) {
      return { code: "unreachable", message: String(cause), status: 0 };
    }
    if (response.ok) return response;
    const problem = problemOf(response.status, await bodyOf(response));
    if (token && problem.status === 401) signedOut();
    return problem;
  }

  async function json<Value>(path: string, init: RequestInit): Promise<Result<Value>> {
    const answer = await ask(path, init);
    if (!(answer instanceof Response)) return { ok: false, problem: answer };
    try {
      return { ok: true, value: (await bodyOf(answer)) as Value, headers: answer.headers };
    } catch (cause) {
      // The link broke, or nobody waits any more, between head and body.
      return { ok: false, problem: { code: "unreachable", message: String(cause), status: 0 } };
    }
  }

  return {
    get: (path, signal) => json(path, signal ? { signal } : {}),
    send: (method, path, body, headers = {}) =>
      json(path, {
        method,
        headers: body === undefined ? headers : { "Content-Type": "application/json", ...headers },
        ...(body === undefined ? {} : { body: JSON.stringify(body) }),
      }),
    upload: (path, file) =>
      json(path, { method: "POST", headers: { "Content-Type": "application/octet-stream" }, body: file }),
    async file(path) {
      const answer = await ask(path, {});
      if (!(answer instanceof Response)) return { ok: false, problem: answer };
      const name = fileNameOf(answer.headers.get("Content-Disposition")) ?? path.split("/").at(-1) ?? "file";
      return { ok: true, value: { blob: await answer.blob(), name }, headers: answer.headers };
    },
  };
}

/** The hub's `{error: {code, message, field?, rule?}}`; anything else by its status. */
export function problemOf(status: number, body: unknown): Problem {
  const error = record(record(body)?.error);
  const text = (key: string) => (typeof error?.[key] === "string" ? (error[key] as string) : undefined);
  const problem: Problem = {
    code: text("code") ?? `http-${status}`,
    message: text("message") ?? `The hub answered ${status}.`,
    status,
  };
  const field = text("field");
  const rule = text("rule");
  const data = record(error?.data);
  if (field) problem.field = field;
  if (rule) problem.rule = rule;
  if (data) problem.data = data;
  return problem;
}

/** The name in a Content-Disposition header, its path taken off. */
export function fileNameOf(header: string | null): string | null {
  const name = header?.match(/filename="?([^";]+)"?/i)?.[1];
  return name?.split(/[\\/]/).at(-1) ?? null;
}

async function bodyOf(response: Response): Promise<unknown> {
  const text = await response.text();
  if (!text) return null;
  try {
    return JSON.parse(text);
  } catch {
    return null;
  }
}

function record(value: unknown): Record<string, unknown> | undefined {
  return typeof value === "object" && value !== null ? (value as Record<string, unknown>) : undefined;
}
