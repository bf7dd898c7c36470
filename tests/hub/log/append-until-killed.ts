/**
 * A process to be killed: appends events to the site in the folder given, three calls at a time,
 * and prints each number when it was acknowledged. Started by sqlite-log.test.ts.
 */
import { writeSync } from "node:fs";
import { openLog } from "../../../hub/log/site-folder.ts";
import { entryOf, eventNumber } from "../../contract/event-log-data.ts";

const log = openLog(process.argv[2] ?? "", "site");
let next = log.lastSeq() + 1;
for (;;) {
  const calls = Array.from({ length: 3 }, () => {
    const seq = next++;
    return log.append(entryOf(`c${seq}`, [eventNumber(seq)])).then(() => {
      log.saveSnapshot(1, seq, { seq });
      writeSync(1, `${seq}\n`);
    });
  });
  await Promise.all(calls);
}
