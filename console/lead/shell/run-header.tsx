/** Clock, place, what it gets, the truth about the link, and the countdown to the next contact. */

import { localEclipse } from "../../../shared/plan/local-eclipse.ts";
import { contactsOf } from "../../../shared/run/effective-contacts.ts";
import { currentRun, practiceAt, runTime } from "../../../shared/run/run-time.ts";
import type { SiteState } from "../../../shared/run/state.ts";
import { isoDate } from "../../../shared/time/iso.ts";
import { useNow } from "../../link/use-session.ts";
import { ClockFace } from "../../parts/clock-face.tsx";
import { Countdown } from "../../parts/countdown.tsx";
import { LinkLine } from "../../parts/link-line.tsx";
import { lengthWords } from "../../parts/words-for-length.ts";
import { t } from "../../words/words.ts";
import { type Counted, countedTo } from "./counted-to.ts";
import { dateText } from "./date-text.ts";
import { useLead } from "./lead-context.ts";

const DAY_MS = 86_400_000;
/** From here on a countdown to the second says less than days do, ms. */
const FAR_MS = 2 * DAY_MS;

export function RunHeader() {
  const { session, view } = useLead();
  const now = useNow(session, 1000);
  const { state } = view;
  if (!state) return null;
  const practice = practiceAt(state, now);
  const run = currentRun(state, now);
  const runNow = runTime(practice, now);
  const counted = countedTo(contactsOf(state, run), localEclipse(state.circumstances).kind, runNow);
  const readRunNow = () =>
    session.reading().state === "none" ? null : runTime(practiceAt(state, session.now()), session.now());
  const reading = session.reading();
  const { plan } = state;
  return (
    <header className="run-header">
      <ClockFace read={readRunNow} zone={plan.site?.zone ?? null} practice={practice !== null} />
      <div className="run-header__place">
        <p>
          <strong data-site-name>
            <bdi>{plan.site?.name ?? t("lead.header.noSite")}</bdi>
          </strong>
          {" · "}
          <span>{kindWords(state)}</span>
          {" · "}
          <span>{t(practice ? "lead.header.practiceRun" : "lead.header.realRun")}</span>
          {practice && practice.rate !== 1 ? ` × ${practice.rate}` : null}
          {" · "}
          <span>{t("lead.header.revision", { revision: plan.revision })}</span>
        </p>
        <LinkLine
          linkState={view.linkState}
          sinceUtcMs={view.sinceUtcMs}
          boundMs={reading.state === "none" ? null : reading.boundMs}
          utcBoundMs={view.clockHealth.hubBoundMs}
        />
      </div>
      {counted && counted.at - runNow > FAR_MS ? (
        <p className="run-header__far">
          <span>{t("lead.header.on", { date: dateText(isoDate(counted.at)) })}</span>
          <strong>{t("lead.header.inDays", { days: Math.floor((counted.at - runNow) / DAY_MS) })}</strong>
        </p>
      ) : counted ? (
        <Countdown to={counted.at} read={readRunNow} label={countedLabel(counted)} after="up" />
      ) : (
        <p className="run-header__over">{t(plan.eclipse ? "lead.header.over" : "lead.header.noEclipse")}</p>
      )}
    </header>
  );
}

function countedLabel({ what }: Counted): string {
  if (what === "sunReturns" || what === "ringEnds" || what === "sinceC3") return t(`lead.header.${what}`);
  return t("lead.header.until", { contact: t(`lead.contact.${what}`) });
}

/** "total here, 4 min 11 s": what counts for filters at this place. */
export function kindWords(state: SiteState): string {
  if (!state.circumstances) return t("lead.kind.unset");
  const gets = localEclipse(state.circumstances);
  if (gets.kind === "total") return t("lead.kind.total", { time: lengthWords(gets.totalityS) });
  if (gets.kind === "annular") return t("lead.kind.annular", { time: lengthWords(gets.ringS) });
  if (gets.kind === "partial") return t("lead.kind.partial");
  return t("lead.kind.none");
}
