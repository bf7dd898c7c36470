/**
 * All styles of the rig page, for it and for the drill that lies over it. Those of what comes later, too:
 * one sheet, so that no part waits for a second file. The page's own come after those of the parts, which
 * they fit to it.
 */
import "../parts/alert-line.css";
import "../parts/clock-face.css";
import "../parts/confirm-button.css";
import "../parts/countdown.css";
import "../parts/filter-mark.css";
import "../parts/hold-button.css";
import "../parts/practice-banner.css";
import "../parts/time-line.css";
import "./rig.css";
import "./near-cue.css";
import "./setup/setup.css";
import "./report/report.css";
