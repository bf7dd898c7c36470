/**
 * What comes from the lead: calls of what is seen by eye, at once; messages, and word of orders
 * that were missed while this phone was away, only while no cue is within a minute.
 */
import { newestStanding } from "../../../shared/run/orders/calls.ts";
import "../../words/bundles/phone.ts";
import { missedNow } from "../../../shared/link/missed-orders.ts";
import type { SessionView } from "../../../shared/link/session-types.ts";
import "../../words/bundles/facts.ts";
import { READINESS } from "../../../shared/run/vocabulary.ts";
import { AlertLine } from "../../parts/alert-line.tsx";
import { clockText } from "../../parts/time-format.ts";
import { useWords } from "../../words/words.ts";
import type { RigScene } from "./rig-scene.ts";
import { SkyNotice } from "./sky-notice.tsx";
import type { Told } from "./told.ts";

interface NoticesProps {
  scene: RigScene;
  told: Told;
  session: SessionView;
  onOrdersSeen: () => void;
  onRead: (messageId: string) => void;
  onReady: (rigId: string, ready: (typeof READINESS)[number]) => void;
}

/** A call is shown for this long, run time ms. */
const CALL_MS = 30_000;

export function Notices({ scene, told, session, onOrdersSeen, onRead, onReady }: NoticesProps) {
  const { t } = useWords();
  const { oldOrders } = session;
  const missed = missedNow(session.missedOf, scene.state, scene.now);
  const { view, picture } = scene;
  const { message, rings, roll, asked } = told;
  // A call of totality after which something made things safe is not shown again (S6).
  const call = newestStanding(view.run.calls);
  return (
    <>
      {call && view.runNow - call.atRunMs < CALL_MS && !oldOrders.includes(call.callId) ? (
        <p className="rig-call" role="status" data-call={call.call}>
          {t(`rig.call.${call.call}`)}
        </p>
      ) : null}
      {roll
        ? asked.map(({ rig }) => (
            <div key={rig.id} data-roll={roll.rollId} data-rig={rig.id}>
              <AlertLine
                priority="advice"
                title={t("rig.roll.ask", { rig: rig.name })}
                detail={t("rig.roll.until", { time: clockText(roll.untilUtcMs) })}
                announce
              >
                <button type="button" data-ready="ready" onClick={() => onReady(rig.id, "ready")}>
                  {t("rig.roll.yes")}
                </button>
                <details className="rig-roll-no">
                  <summary>{t("rig.roll.no")}</summary>
                  {READINESS.slice(1).map((lack) => (
                    <button key={lack} type="button" data-ready={lack} onClick={() => onReady(rig.id, lack)}>
                      {t(`fact.ready.${lack}`)}
                    </button>
                  ))}
                </details>
              </AlertLine>
            </div>
          ))
        : null}
      {message && !rings ? (
        <div data-message={message.messageId}>
          <AlertLine
            priority="advice"
            title={message.text}
            detail={t("rig.message.at", { time: clockText(message.sentUtcMs) })}
            announce
          >
            <button type="button" data-action="read" onClick={() => onRead(message.messageId)}>
              {t("rig.message.read")}
            </button>
          </AlertLine>
        </div>
      ) : null}
      <SkyNotice scene={scene} />
      {missed > 0 && !picture.quiet ? (
        <div data-missed={missed}>
          <AlertLine
            priority="caution"
            title={t("rig.missed.title", { count: missed })}
            detail={t("rig.missed.toDo")}
          >
            <button type="button" data-action="missed-seen" onClick={onOrdersSeen}>
              {t("rig.message.read")}
            </button>
          </AlertLine>
        </div>
      ) : null}
    </>
  );
}
