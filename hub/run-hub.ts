/**
 * Runs the hub with the machine's own clock, port and folder: from options to a hub that answers,
 * by http always and by https with the group's certificate or one of the hub's own.
 * Throws LogError, PortError and CertificateError, each with a sentence for the person who
 * started it.
 */
import { hostname, networkInterfaces } from "node:os";
import { join } from "node:path";
import { HubClockKeeper } from "./clock-keeper.ts";
import { clockRoutes } from "./http/clock-routes.ts";
import { siteRoutes } from "./http/site-routes.ts";
import { trustRoutes } from "./http/trust-routes.ts";
import { createHub, type Hub } from "./hub.ts";
import { DiskWatch } from "./log/disk-watch.ts";
import { LogError } from "./log/event-log.ts";
import { openLog, siteFolder } from "./log/site-folder.ts";
import type { HubOptions } from "./options.ts";
import { CertificateKeeper } from "./reach/certificate-keeper.ts";
import { isOwnHost, isOwnOrigin, ownHosts } from "./reach/hosts.ts";
import { OnePort } from "./reach/one-port.ts";
import { type SiteReach, siteReach } from "./reach/site-reach.ts";
import { newPin } from "./room/keys.ts";

export interface RunningHub {
  hub: Hub;
  port: number;
  /** Addresses to open by http, best first. */
  urls: string[];
  /** The same and https, as things are at this moment. */
  reach: () => SiteReach;
  /** Why there is no https, if so. */
  tlsProblem: string | undefined;
  /** The PIN when it was made or set at this start; it is kept hashed only. */
  pin: string | undefined;
  sleep: string | undefined;
  /** Whether the log cannot be written at this moment. */
  unwritten: () => boolean;
  close(): Promise<void>;
}

export interface RunPorts {
  pagesDir: string;
  version: string;
  /** Called after a site file was laid ready: close this hub and run it again. */
  onRestore: () => void;
  onError: (error: unknown) => void;
}

/** The demo keeps its own site beside the real one. */
export function siteNameOf({ demo }: HubOptions): string {
  return demo ? "demo" : "site";
}

export async function runHub(options: HubOptions, ports: RunPorts): Promise<RunningHub> {
  const siteName = siteNameOf(options);
  const log = openLog(options.dataDir, siteName, {
    onNote: (sentence) => ports.onError(new LogError("corrupt", sentence)),
  });
  let hub: Hub | undefined;
  const clockKeeper = new HubClockKeeper(log, () => hub?.parts.keeper.state);
  const { clock } = clockKeeper;
  let certificates: CertificateKeeper | undefined;
  try {
    certificates = await CertificateKeeper.start({
      own: options.tls,
      folder: join(options.dataDir, "certificates"),
      label: hostname().split(".")[0] || "hub",
      nowUtcMs: () => clock.now(),
    });
    const tls = certificates;
    const onePort = new OnePort({ onRequest: () => undefined, tls: tls.current?.pair });
    const ownNames = tls.current?.kind === "own" ? tls.current.hosts : [];
    const own = ownHosts(options.host ? [options.host, ...ownNames] : ownNames);
    let port = options.port;
    const reach = (): SiteReach => siteReach(networkInterfaces(), tls.current, { port, host: options.host });
    hub = createHub({
      servers: onePort.https ? [onePort.http, onePort.https] : [onePort.http],
      log,
      clock,
      pagesDir: ports.pagesDir,
      version: ports.version,
      isOurHost: (host) => isOwnHost(host, own()),
      isOurOrigin: (origin, host) => isOwnOrigin(origin, host, own()),
      origins: () => reach().origins,
      secureOrigins: () => reach().secureOrigins,
      onError: ports.onError,
      more: (parts) => [
        ...clockRoutes(parts, clockKeeper),
        ...siteRoutes(parts, siteFolder(options.dataDir, siteName), ports.onRestore),
        ...trustRoutes({ reach, authorityDer: () => tls.current?.authority?.der }),
      ],
    });
    const { keys } = hub.parts;
    const made = options.leadPin ?? (keys.hasPin() ? undefined : newPin());
    if (made !== undefined) await keys.startWithPin(made);
    port = await onePort.listen(options.port, options.host);
    tls.watch(onePort);
    const sleep = await clockKeeper.start(hub);
    const running = hub;
    const disk = new DiskWatch(siteFolder(options.dataDir, siteName), hub.parts.health);
    disk.start();
    return {
      hub: running,
      port,
      urls: reach().origins,
      reach,
      tlsProblem: tls.problem,
      pin: made,
      sleep,
      unwritten: () =>
        running.parts.health.standing().some(({ cause }) => cause === "disk-full" || cause === "log-failing"),
      async close() {
        clockKeeper.stop();
        tls.stop();
        disk.stop();
        await running.close();
        await onePort.close();
      },
    };
  } catch (error) {
    clockKeeper.stop();
    certificates?.stop();
    if (hub) await hub.close();
    else await log.close();
    throw error;
  }
}
