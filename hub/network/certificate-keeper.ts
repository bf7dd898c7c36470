/**
 * Keeps the hub's https alive through the day: chooses the certificate at the start, and while
 * the hub runs makes a new leaf when the laptop changes networks or the old one nears its end.
 * Without a certificate the hub goes on by http; `problem` says why.
 */
import { hostname, networkInterfaces } from "node:os";
import { ownAddresses } from "./addresses.ts";
import {
  CertificateError,
  checkOwnCertificate,
  ensureLocalCertificate,
  type SiteCertificate,
} from "./certificate-store.ts";
import type { KeyPair, OnePort } from "./one-port.ts";

interface CertificateKeeperOptions {
  /** The group's own pair (--cert --key); without it the local authority's. */
  own?: KeyPair | undefined;
  /** Where authority and leaf are kept: one for the data folder, so that phones trust one. */
  folder: string;
  /** Part of the authority's name on phones, at best the group's or the laptop's. */
  label: string;
  nowUtcMs: () => number;
  hosts?: () => string[];
}

const LOOK_MS = 10_000;

export class CertificateKeeper {
  #current: SiteCertificate | undefined;
  #problem: string | undefined;
  #timer: NodeJS.Timeout | undefined;
  readonly #options: CertificateKeeperOptions;
  readonly #hosts: () => string[];

  private constructor(options: CertificateKeeperOptions) {
    this.#options = options;
    this.#hosts = options.hosts ?? machineHosts;
  }

  /** Rejects with CertificateError for a bad pair of the group's own; never for the local one. */
  static async start(options: CertificateKeeperOptions): Promise<CertificateKeeper> {
    const keeper = new CertificateKeeper(options);
    if (options.own) keeper.#current = checkOwnCertificate(options.own, options.nowUtcMs());
    else await keeper.#renew();
    return keeper;
  }

  /** What the hub serves with now; its authority is what phones are asked to trust. */
  get current(): SiteCertificate | undefined {
    return this.#current;
  }

  /** Why there is no certificate, or why the last renewal failed. */
  get problem(): string | undefined {
    return this.#problem;
  }

  /** From now on looks every `everyMs` whether the certificate still fits, and changes it. */
  watch(onePort: Pick<OnePort, "setCertificate">, everyMs = LOOK_MS): void {
    if (this.#options.own) return;
    const look = async (): Promise<void> => {
      if (await this.#renew()) {
        if (this.#current) onePort.setCertificate(this.#current.pair);
      }
      if (this.#timer) this.#timer = setTimeout(look, everyMs).unref();
    };
    this.#timer = setTimeout(look, everyMs).unref();
  }

  stop(): void {
    clearTimeout(this.#timer);
    this.#timer = undefined;
  }

  async #renew(): Promise<boolean> {
    const { folder, label, nowUtcMs } = this.#options;
    try {
      const made = await ensureLocalCertificate(folder, {
        hosts: this.#hosts(),
        label,
        nowUtcMs: nowUtcMs(),
      });
      const isNew = made.renewed || made.certificate.pair.cert !== this.#current?.pair.cert;
      this.#current = made.certificate;
      this.#problem = undefined;
      return isNew;
    } catch (error) {
      this.#problem = error instanceof CertificateError ? error.message : String(error);
      return false;
    }
  }
}

/** This machine's addresses and its name on the local network. */
function machineHosts(): string[] {
  const name = hostname().toLowerCase().split(".")[0];
  return [...ownAddresses(networkInterfaces()), `${name}.local`];
}
