/** `npm start`: the hub. Runs before any package is there and on any Node. */
import { become } from "./setup/become.mjs";

become("main.js");
