/** Whether a connection comes from the machine the hub runs on. */
import type { Socket } from "node:net";

/**
 * Both ends have one address: over loopback, or by the address the machine has in the network.
 * Nobody else can bring that about: the answers to the handshake would never reach them.
 */
export function isOwnMachine({
  remoteAddress,
  localAddress,
}: Pick<Socket, "remoteAddress" | "localAddress">): boolean {
  return remoteAddress !== undefined && remoteAddress === localAddress;
}
