/**
 * Runs the hub with the machine's own clock, port and folder: from options to a hub that answers.
 * Throws UsageError, LogError and PortError, each with a sentence for the person who started it.
 */
import { networkInterfaces } from "node:os";
import { HubClockKeeper } from "./clock-keeper.ts";
import { clockRoutes } from "./http/clock-routes.ts";
import { siteRoutes } from "./http/site-routes.ts";
import { createHub, type Hub } from "./hub.ts";
import { openLog, siteFolder } from "./log/site-folder.ts";
import type { HubOptions } from "./options.ts";
import { listUrls } from "./reach/addresses.ts";
import { isOwnHost, isOwnOrigin, ownHosts } from "./reach/hosts.ts";
import { OnePort } from "./reach/one-port.ts";
import { newPin } from "./room/keys.ts";

export interface RunningHub {
  hub: Hub;
  port: number;
  /** Addresses to open, best first. */
  urls: string[];
  /** The PIN when it was made or set at this start; it is kept hashed only. */
  pin: string | undefined;
  sleep: string | undefined;
  close(): Promise<void>;
}

export interface RunPorts {
  pagesDir: string;
  version: string;
  /** Called after a site file was laid ready: close this hub and run it again. */
  onRestore: () => void;
  onError: (error: unknown) => void;
}

export async function runHub(options: HubOptions, ports: RunPorts): Promise<RunningHub> {
  const siteName = options.demo ? "demo" : "site";
  const log = openLog(options.dataDir, siteName);
  let hub: Hub | undefined;
  const clockKeeper = new HubClockKeeper(log, () => hub?.parts.keeper.state);
  const { clock } = clockKeeper;
  try {
    const onePort = new OnePort({
      onRequest: () => undefined,
      ...(options.tls && { tls: options.tls }),
    });
    const own = ownHosts(options.host ? [options.host] : []);
    let port = options.port;
    const urls = (): string[] =>
      listUrls(networkInterfaces(), {
        port,
        scheme: options.tls ? "https" : "http",
        host: options.host,
      });
    hub = createHub({
      servers: onePort.https ? [onePort.http, onePort.https] : [onePort.http],
      log,
      clock,
      pagesDir: ports.pagesDir,
      version: ports.version,
      isOurHost: (host) => isOwnHost(host, own()),
      isOurOrigin: (origin, host) => isOwnOrigin(origin, host, own()),
      origins: urls,
      onError: ports.onError,
      more: (parts) => [
        ...clockRoutes(parts, clockKeeper),
        ...siteRoutes(parts, siteFolder(options.dataDir, siteName), ports.onRestore),
      ],
    });
    const { keys } = hub.parts;
    const made = options.leadPin ?? (keys.hasPin() ? undefined : newPin());
    if (made !== undefined) keys.setPin(made);
    port = await onePort.listen(options.port, options.host);
    const sleep = await clockKeeper.start(hub);
    const running = hub;
    return {
      hub: running,
      port,
      urls: urls(),
      pin: made,
      sleep,
      async close() {
        clockKeeper.stop();
        await running.close();
        await onePort.close();
      },
    };
  } catch (error) {
    clockKeeper.stop();
    if (hub) await hub.close();
    else await log.close();
    throw error;
  }
}
