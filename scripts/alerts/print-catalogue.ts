/** `npm run alerts` on standard output. */
import { catalogueTable } from "./catalogue-table.ts";

process.stdout.write(`# Alerts: only where somebody must act\n\n${catalogueTable()}\n`);
