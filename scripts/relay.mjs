/** `npm run relay`: the board for many, from a broker or another relay. Runs on any Node, too. */
import { become } from "./setup/become.mjs";

become("relay.js");
