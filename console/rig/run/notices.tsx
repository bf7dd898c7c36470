/**
 * What comes from the lead: calls of what is seen by eye, at once; messages, and word of orders
 * that were missed while this phone was away, only while no cue is within a minute.
 */
import { newestStanding } from "../../../shared/run/orders/calls.ts";
import "../../words/bundles/phone.ts";
import type { SessionView } from "../../../shared/link/session-types.ts";
import { AlertLine } from "../../parts/alert-line.tsx";
import { clockText } from "../../parts/time-format.ts";
import { useWords } from "../../words/words.ts";
import type { RigScene } from "./rig-scene.ts";

interface NoticesProps {
  scene: RigScene;
  session: SessionView;
  onOrdersSeen: () => void;
  onRead: (messageId: string) => void;
}

/** A call is shown for this long, run time ms; a message until read, at most this long. */
const CALL_MS = 30_000;
const MESSAGE_MS = 15 * 60_000;

export function Notices({ scene, session, onOrdersSeen, onRead }: NoticesProps) {
  const { t } = useWords();
  const { oldOrders } = session;
  const { state, view, now, picture } = scene;
  // A call of totality after which something made things safe is not shown again (S6).
  const call = newestStanding(view.run.calls);
  const ids = scene.rigs.map((status) => status.rig.id);
  const message = picture.quiet
    ? undefined
    : state.messages.findLast(
        (item) =>
          now - item.sentUtcMs < MESSAGE_MS &&
          !oldOrders.includes(item.messageId) &&
          (item.rigIds === null || item.rigIds.some((id) => ids.includes(id))),
      );
  return (
    <>
      {call && view.runNow - call.atRunMs < CALL_MS && !oldOrders.includes(call.callId) ? (
        <p className="rig-call" role="status" data-call={call.call}>
          {t(`rig.call.${call.call}`)}
        </p>
      ) : null}
      {message ? (
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
      {session.missedOrders > 0 && !picture.quiet ? (
        <div data-missed={session.missedOrders}>
          <AlertLine
            priority="caution"
            title={t("rig.missed.title", { count: session.missedOrders })}
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
