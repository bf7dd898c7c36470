/**
 * What a phone needs after its first draw, as one file: either all of it is there or nothing yet, and
 * on a bad network one request is sooner through than twenty. Screens, notices and drawings are here;
 * sounds, the receiver and the solver for a moved site have files of their own (late.tsx).
 */
export { TimeLine } from "../parts/time-line.tsx";
export { CoverRigs } from "./cover-rigs.tsx";
export { BatteryWatch } from "./device/use-battery.ts";
export { JoinTrouble } from "./join/join-trouble.tsx";
export { ReportScreen } from "./report/report-screen.tsx";
export { Notices } from "./run/notices.tsx";
export { RunScreen } from "./run/run-screen.tsx";
export { SetupScreen } from "./setup/setup-screen.tsx";
