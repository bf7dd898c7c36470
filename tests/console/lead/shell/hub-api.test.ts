/** Answers of the hub. Header form: RFC 6266 (Content-Disposition). */
import { afterEach, describe, expect, it, vi } from "vitest";
import { fileNameOf, hubApi, problemOf } from "../../../../console/lead/shell/hub-api.ts";
import { firstScreen, parseRoute } from "../../../../console/lead/shell/route.ts";

afterEach(() => vi.unstubAllGlobals());

describe("refusals of the hub", () => {
  it("keep code, field, rule and data", () => {
    const error = { code: "safety-rule", message: "S2: …", field: "rigs.0", rule: "S2", data: { a: 1 } };
    expect(problemOf(422, { error })).toEqual({ ...error, status: 422 });
  });

  it("are told by their status when they have no body", () => {
    expect(problemOf(502, null)).toMatchObject({ code: "http-502", status: 502 });
    expect(problemOf(500, "text")).toMatchObject({ code: "http-500" });
  });
});

describe("asking the hub", () => {
  it("says unreachable when nobody answers, and does not throw", async () => {
    vi.stubGlobal("fetch", () => Promise.reject(new TypeError("refused")));
    const answer = await hubApi("token", () => undefined).get("/api/plan");
    expect(answer).toMatchObject({ ok: false, problem: { code: "unreachable", status: 0 } });
  });

  it("signs out when the hub no longer knows the token, but not for a wrong PIN", async () => {
    vi.stubGlobal("fetch", () => Promise.resolve(new Response("{}", { status: 401 })));
    const signedOut = vi.fn();
    await hubApi(null, signedOut).send("POST", "/api/lead/session", { pin: "0000" });
    expect(signedOut).not.toHaveBeenCalled();
    await hubApi("token", signedOut).get("/api/plan");
    expect(signedOut).toHaveBeenCalledOnce();
  });

  it("sends the token as a bearer and the body as JSON", async () => {
    const seen: RequestInit[] = [];
    vi.stubGlobal("fetch", (_path: string, init: RequestInit) => {
      seen.push(init);
      return Promise.resolve(new Response('{"revision":4}', { headers: { ETag: '"plan-4"' } }));
    });
    const answer = await hubApi("secret", () => undefined).send(
      "PUT",
      "/api/plan",
      { a: 1 },
      { "If-Match": '"plan-3"' },
    );
    const headers = new Headers(seen[0]?.headers);
    expect(headers.get("Authorization")).toBe("Bearer secret");
    expect(headers.get("If-Match")).toBe('"plan-3"');
    expect(seen[0]?.body).toBe('{"a":1}');
    expect(answer.ok && answer.headers.get("ETag")).toBe('"plan-4"');
  });

  it("takes a file's name without any path", () => {
    expect(fileNameOf('attachment; filename="noonfall-log.csv"')).toBe("noonfall-log.csv");
    expect(fileNameOf('attachment; filename="../../x.csv"')).toBe("x.csv");
    expect(fileNameOf(null)).toBeNull();
  });
});

describe("the address of a screen", () => {
  it("names the screen and what is open on it", () => {
    expect(parseRoute("#rigs/west")).toEqual({ screen: "rigs", item: "west" });
    expect(parseRoute("#leads")).toEqual({ screen: "leads", item: null });
    expect(parseRoute("#array")).toEqual({ screen: "array", item: null });
    expect(parseRoute("")).toEqual({ screen: null, item: null });
    expect(parseRoute("#nowhere/x")).toEqual({ screen: null, item: null });
  });

  it("is, without one, the first thing that still has to be done", () => {
    const rig = {};
    expect(firstScreen({ eclipse: null, site: null, rigs: [] })).toBe("site");
    expect(firstScreen({ eclipse: "2027-08-02", site: null, rigs: [rig] })).toBe("site");
    expect(firstScreen({ eclipse: "2027-08-02", site: {}, rigs: [] })).toBe("rigs");
    expect(firstScreen({ eclipse: "2027-08-02", site: {}, rigs: [rig] })).toBe("array");
  });
});
