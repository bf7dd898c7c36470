/**
 * Runs the hub with the machine's own clock, port and folder: from options to a hub that answers,
 * by http always and by https with the group's certificate or one of the hub's own.
 * Throws LogError, PortError and CertificateError, each with a sentence for the person who
 * started it.
 */
import { hostname, networkInterfaces } from "node:os";
import { join } from "node:path";
import { UnknownEventError } from "../shared/run/upcasts.ts";
import { HubClockKeeper } from "./clock-keeper.ts";
import { clockRoutes } from "./http/clock-routes.ts";
import { siteRoutes } from "./http/site-routes.ts";
import { trustRoutes } from "./http/trust-routes.ts";
import { createHub, type Hub, type HubPorts } from "./hub.ts";
import { Backups } from "./log/backups.ts";
import { copiesOf, copiesSentence, findCopy } from "./log/copies.ts";
import { DiskWatch } from "./log/disk-watch.ts";
import { LogError } from "./log/event-log.ts";
import { FileWatch } from "./log/file-watch.ts";
import { openLog, restoreCopy, siteFolder } from "./log/site-folder.ts";
import { CertificateKeeper } from "./network/certificate-keeper.ts";
import { isOwnHost, isOwnOrigin, ownHosts } from "./network/hosts.ts";
import { OnePort } from "./network/one-port.ts";
import { type SiteNetwork, siteNetwork } from "./network/site-network.ts";
import { type HubOptions, UsageError } from "./options.ts";
import { newPin } from "./site/keys.ts";

export interface RunningHub {
  hub: Hub;
  port: number;
  /** Addresses to open by http, best first. */
  urls: string[];
  /** The same and https, as things are at this moment. */
  network: () => SiteNetwork;
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

/** What makes the hub's state of its log. Throws LogError where the log makes none. */
function startHub(ports: HubPorts): Hub {
  try {
    return createHub(ports);
  } catch (cause) {
    if (cause instanceof LogError) throw cause;
    const known = cause instanceof UnknownEventError;
    const why = known ? cause.message : "one of its events does not replay";
    throw new LogError(known ? "newer" : "corrupt", `The site cannot be gone on with: ${why}.`, { cause });
  }
}

/** Where the site itself is of no use, the copies that there are stand beside what is wrong with it. */
function withCopies<Value>(copies: () => string, work: () => Value): Value {
  try {
    return work();
  } catch (error) {
    const { code } = error as Partial<LogError>;
    if (!(error instanceof LogError) || !["corrupt", "newer", "missing"].includes(code ?? "")) throw error;
    throw new LogError(error.code, `${error.message}\n${copies()}`, { cause: error });
  }
}

/**
 * Lays the copy that `--restore` names ready for the next start. Throws UsageError when there is
 * none of that name, LogError when it is of no use.
 */
export async function restoreByName(options: HubOptions): Promise<void> {
  if (options.restore === undefined) return;
  const siteName = siteNameOf(options);
  const copies = copiesOf(siteFolder(options.dataDir, siteName), siteName, options.backupDir);
  const file = findCopy(options.restore, copies);
  if (!file)
    throw new UsageError(`--restore: there is no copy ${options.restore}.\n${copiesSentence(copies)}`);
  await restoreCopy(options.dataDir, siteName, file);
}

/** As it stands in an address: an IPv6 address in brackets. */
function urlHost(host: string): string {
  return host.includes(":") ? `[${host === "::" ? "::1" : host}]` : host;
}

/** The demo keeps its own site beside the real one. */
export function siteNameOf({ demo }: HubOptions): string {
  return demo ? "demo" : "site";
}

export async function runHub(options: HubOptions, ports: RunPorts): Promise<RunningHub> {
  const siteName = siteNameOf(options);
  const folder = siteFolder(options.dataDir, siteName);
  const copies = (): string => copiesSentence(copiesOf(folder, siteName, options.backupDir));
  const log = withCopies(copies, () =>
    openLog(options.dataDir, siteName, {
      newSite: options.newSite === true,
      onNote: (sentence) => ports.onError(new LogError("corrupt", sentence)),
    }),
  );
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
    const network = (): SiteNetwork =>
      siteNetwork(networkInterfaces(), tls.current, { port, host: options.host });
    hub = withCopies(copies, () =>
      startHub({
        servers: onePort.https ? [onePort.http, onePort.https] : [onePort.http],
        log,
        clock,
        pagesDir: ports.pagesDir,
        version: ports.version,
        isOurHost: (host) => isOwnHost(host, own()),
        isOurOrigin: (origin, host) => isOwnOrigin(origin, host, own()),
        origins: () => network().origins,
        secureOrigins: () => network().secureOrigins,
        ownUrl: () =>
          `http://${options.host && options.host !== "0.0.0.0" ? urlHost(options.host) : "127.0.0.1"}:${port}`,
        publish: options.publish,
        onError: ports.onError,
        more: (parts) => [
          ...clockRoutes(parts, clockKeeper),
          ...siteRoutes(parts, folder, ports.onRestore),
          ...trustRoutes({ network, authorityDer: () => tls.current?.authority?.der }),
        ],
      }),
    );
    const { keys } = hub.parts;
    const made = options.leadPin ?? (keys.hasPin() ? undefined : newPin());
    if (made !== undefined) await keys.startWithPin(made);
    port = await onePort.listen(options.port, options.host);
    tls.watch(onePort);
    const sleep = await clockKeeper.start(hub.parts.keeper);
    const running = hub;
    const { health } = hub.parts;
    const watches = [
      new DiskWatch(folder, health),
      new FileWatch({ log, health, copies, busy: () => clockKeeper.inRealRun() }),
      ...(options.backupDir ? [new Backups({ dir: options.backupDir, siteName, log, health })] : []),
    ];
    for (const watch of watches) watch.start();
    return {
      hub: running,
      port,
      urls: network().origins,
      network,
      tlsProblem: tls.problem,
      pin: made,
      sleep,
      unwritten: () =>
        running.parts.health.standing().some(({ cause }) => cause === "disk-full" || cause === "log-failing"),
      async close() {
        clockKeeper.stop();
        tls.stop();
        for (const watch of watches) watch.stop();
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
