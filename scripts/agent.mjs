/** `npm run agent`: a computer beside a rig, which reads what stands there. Runs on any Node, too. */
import { become } from "./setup/become.mjs";

become("agent.js");
