/** `npm run after`: images and videos in their place, without a browser. Runs on any Node, too. */
import { become } from "./setup/become.mjs";

become("after-main.js", "result only");
