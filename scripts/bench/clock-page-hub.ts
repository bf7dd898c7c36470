/**
 * Runs beside the real hub in its namespace during the clock bench on pages: signs in, tells the
 * link of a rig (one JSON line), then four times a second says where the hub's time stands against
 * the kernel's clock, by short exchanges over loopback.
 */
import { kernelMs } from "./clock-truth.ts";

const [, , base = "", pin = "", pageOrigin = ""] = process.argv;
const write = (row: object) => process.stdout.write(`${JSON.stringify(row)}\n`);

async function ask(path: string, init: RequestInit = {}): Promise<Record<string, unknown>> {
  const response = await fetch(`${base}${path}`, { ...init, signal: AbortSignal.timeout(3000) });
  const body = (await response.json()) as Record<string, unknown>;
  if (!response.ok) throw new Error(`${path}: ${response.status} ${JSON.stringify(body)}`);
  return body;
}

async function link(): Promise<string> {
  const { token } = await ask("/api/lead/session", {
    method: "POST",
    headers: { "Content-Type": "application/json" },
    body: JSON.stringify({ pin }),
  });
  const headers = { Authorization: `Bearer ${token}` };
  let id: string | undefined;
  // The demo's plan is saved a moment after the hub answers.
  for (let tries = 0; !id; tries++) {
    if (tries > 40) throw new Error("the hub has no rig to open");
    const run = (await ask("/api/run", { headers })) as { rigs?: { id: string }[] };
    id = run.rigs?.[0]?.id;
    if (!id) await new Promise((done) => setTimeout(done, 500));
  }
  const { url } = await ask(`/api/rigs/${encodeURIComponent(id)}/link`, { headers });
  return `${pageOrigin}/rig${new URL(String(url)).hash}`;
}

for (let tries = 0; ; tries++) {
  try {
    await ask("/api/health");
    break;
  } catch (error) {
    if (tries > 240) throw error;
    await new Promise((done) => setTimeout(done, 500));
  }
}
write({ k: "link", url: await link() });

// hub's UTC − kernel's clock: the exchange of least delay among five, its middle
for (;;) {
  let best = { delay: Number.POSITIVE_INFINITY, at: 0, offset: 0 };
  for (let i = 0; i < 5; i++) {
    const from = kernelMs();
    const { utcMs } = await ask("/api/health");
    const to = kernelMs();
    if (to - from < best.delay) best = { delay: to - from, at: to, offset: Number(utcMs) - (from + to) / 2 };
  }
  write({ k: "truth", ...best });
  await new Promise((done) => setTimeout(done, 500));
}
