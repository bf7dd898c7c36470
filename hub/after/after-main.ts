/** The process of `npm run after`: wiring only. */
import { after } from "./after.ts";
import { AFTER_USAGE, AfterError, readAfterOptions } from "./options.ts";

// Who reads may stop early, as `head` does: then nothing is left to say.
process.stdout.on("error", (error: NodeJS.ErrnoException) => {
  if (error.code !== "EPIPE") throw error;
  process.exit(0);
});

try {
  const options = readAfterOptions(process.argv.slice(2));
  if (options === "help") console.log(AFTER_USAGE);
  else await after(options, (line) => console.log(line));
} catch (error) {
  if (error instanceof AfterError) console.error(`\n${error.message}`);
  else console.error(error);
  process.exitCode = error instanceof AfterError ? 2 : 1;
}
