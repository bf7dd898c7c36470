/** Socket.IO's client, in a chunk of its own. */
export { io } from "socket.io-client";
