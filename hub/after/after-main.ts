/** The process of `npm run after`: wiring only. */
import { after } from "./after.ts";
import { AFTER_USAGE, AfterError, readAfterOptions } from "./options.ts";

try {
  const options = readAfterOptions(process.argv.slice(2));
  if (options === "help") console.log(AFTER_USAGE);
  else await after(options, (line) => console.log(line));
} catch (error) {
  if (error instanceof AfterError) console.error(`\n${error.message}`);
  else console.error(error);
  process.exitCode = error instanceof AfterError ? 2 : 1;
}
