import { mkdtempSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterAll } from "vitest";
import { MemoryLog } from "../../hub/log/memory-log.ts";
import { openLog } from "../../hub/log/site-folder.ts";
import { eventLogContract } from "./event-log.ts";

const folder = mkdtempSync(join(tmpdir(), "noonfall-contract-"));
let count = 0;
afterAll(() => rmSync(folder, { recursive: true, force: true }));

eventLogContract("MemoryLog", () => new MemoryLog());
eventLogContract("SqliteLog", () => openLog(folder, `site${++count}`));
