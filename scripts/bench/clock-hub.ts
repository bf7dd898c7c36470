/**
 * The hub's end of the clock bench: answers probes over Socket.IO as the real hub does, and
 * timesync's requests over another connection. Its UTC is the kernel's monotonic clock plus a
 * constant, so that the device programs know its error exactly.
 */
import { createServer } from "node:http";
import { Server } from "socket.io";
import { HUB_EPOCH_MS, kernelMs } from "./clock-truth.ts";

const [, , host = "10.77.0.1", port = "7700"] = process.argv;
const http = createServer();
const io = new Server(http, { transports: ["websocket"], serveClient: false });
const now = () => HUB_EPOCH_MS + kernelMs();

io.on("connection", (socket) => {
  socket.on("probe", (_body: unknown, answer: (reply: object) => void) => {
    const t2 = now();
    answer({ t2, t3: now(), hubBoundMs: 1 });
  });
  socket.on("timesync", (body: { id: unknown }, answer: (reply: object) => void) => {
    answer({ id: body.id, result: now() });
  });
});
http.listen(Number(port), host, () => console.log("ready"));
