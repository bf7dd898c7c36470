/** Alpaca's discovery: "alpacadiscovery1" to UDP port 32227, answered by {"AlpacaPort": n}. */
import { createSocket } from "node:dgram";
import { networkInterfaces } from "node:os";
import type { HostPort } from "../agent-options.ts";

const DISCOVERY_PORT = 32_227;
const WAIT_MS = 1500;
const FOUND_MOST = 32;

/** Who answers within a second or two. Never rejects: where nothing can be sent nobody is found. */
export function discoverAlpaca(port = DISCOVERY_PORT, waitMs = WAIT_MS): Promise<HostPort[]> {
  return new Promise((resolve) => {
    const found = new Map<string, HostPort>();
    const socket = createSocket({ type: "udp4", reuseAddr: true });
    const end = (): void => {
      clearTimeout(timer);
      socket.removeAllListeners();
      socket.on("error", () => undefined);
      socket.close();
      resolve([...found.values()]);
    };
    const timer = setTimeout(end, waitMs);
    socket.on("error", end);
    socket.on("message", (data, { address }) => {
      const alpaca = portIn(data);
      if (alpaca === null || found.size >= FOUND_MOST) return;
      found.set(`${address}:${alpaca}`, { host: address, port: alpaca });
    });
    socket.bind(0, () => {
      try {
        socket.setBroadcast(true);
      } catch {
        // Then only this machine is asked.
      }
      for (const address of ["127.0.0.1", "255.255.255.255", ...broadcasts()])
        socket.send("alpacadiscovery1", port, address, () => undefined);
    });
  });
}

function portIn(data: Buffer): number | null {
  if (data.length > 1000) return null;
  try {
    const { AlpacaPort } = JSON.parse(data.toString("utf8")) as { AlpacaPort?: unknown };
    return Number.isInteger(AlpacaPort) && (AlpacaPort as number) > 0 && (AlpacaPort as number) < 65_536
      ? (AlpacaPort as number)
      : null;
  } catch {
    return null;
  }
}

/** Of every network this machine is in: address with all host bits set. */
function broadcasts(): string[] {
  return Object.values(networkInterfaces()).flatMap((list) =>
    (list ?? [])
      .filter(({ family, internal }) => family === "IPv4" && !internal)
      .map(({ address, netmask }) => {
        const mask = netmask.split(".").map(Number);
        return address
          .split(".")
          .map((part, at) => Number(part) | (~(mask[at] ?? 255) & 255))
          .join(".");
      }),
  );
}
