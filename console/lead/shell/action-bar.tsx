/**
 * The foot of every screen. "Cover every lens. Glasses on." is always there and is one press (S7);
 * on the array the calls stand beside it: those that make safe are instant, "totality" is held
 * for one second (S6), and any call can be taken back.
 */
import { useState } from "react";
import { newestStanding } from "../../../shared/run/orders/calls.ts";
import type { Call } from "../../../shared/run/state.ts";
import { HoldButton } from "../../parts/hold-button.tsx";
import { clockText } from "../../parts/time-format.ts";
import { offText } from "../../parts/words-for-reviewed.ts";
import { t } from "../../words/words.ts";
import { Button } from "./button.tsx";
import { useLead } from "./lead-context.ts";
import { MessagePanel } from "./say/message-panel.tsx";
import { RollPanel } from "./say/roll-panel.tsx";
import { ShiftForm } from "./shift-form.tsx";
import { isTotalityDue } from "./totality-due.ts";
import { COVER_KEY, useKey } from "./use-keys.ts";
import { useOrders } from "./use-order.tsx";
import { useRun } from "./use-run.ts";

type Drawer = "message" | "roll" | "shift";

export function ActionBar(props: { calls: boolean }) {
  const { view } = useLead();
  const { give } = useOrders();
  const [open, setOpen] = useState<Drawer | null>(null);
  useKey(COVER_KEY, () => {
    if (!view.cover) void give({ type: "cover" });
  });
  const toggle = (which: Drawer) => setOpen(open === which ? null : which);
  return (
    <footer className="action-bar">
      {props.calls && open && (
        <div className="action-bar__drawer">
          {open === "message" ? (
            <MessagePanel />
          ) : open === "roll" ? (
            <RollPanel />
          ) : (
            <ShiftForm done={() => setOpen(null)} />
          )}
        </div>
      )}
      {props.calls && <StandingCall />}
      <div className="action-bar__row">
        {props.calls && <Calls />}
        {props.calls && (
          <>
            <Button action="message" pressed={open === "message"} onClick={() => toggle("message")}>
              {t("lead.message.open")}
            </Button>
            <Button action="roll" pressed={open === "roll"} onClick={() => toggle("roll")}>
              {t("lead.roll.open")}
            </Button>
            <Button action="shift" pressed={open === "shift"} onClick={() => toggle("shift")}>
              {t("lead.shift.open")}
            </Button>
          </>
        )}
        <button
          type="button"
          className="button button--cover"
          data-action="cover"
          aria-keyshortcuts={COVER_KEY}
          disabled={view.cover}
          onClick={() => void give({ type: "cover" })}
        >
          {t("cover.lenses")} {t("cover.glasses")} <kbd className="action-bar__key">{COVER_KEY}</kbd>
        </button>
      </div>
    </footer>
  );
}

function Calls() {
  const { give } = useOrders();
  const now = useRun();
  if (!now) return null;
  if (now.run.gets.kind !== "total") return <p className="action-bar__no-calls">{t("lead.call.none")}</p>;
  return (
    <>
      <div className="action-bar__hold" data-action="call-totality" data-due={isTotalityDue(now.run)}>
        <HoldButton
          label={t("lead.call.totality")}
          onHeld={() => void give({ type: "call", call: "totality" })}
        />
      </div>
      <Button action="call-sun-returns" onClick={() => void give({ type: "call", call: "sun returns" })}>
        {t("lead.call.sunReturns")}
      </Button>
      <Button action="call-stay-filtered" onClick={() => void give({ type: "call", call: "stay filtered" })}>
        {t("lead.call.stayFiltered")}
      </Button>
    </>
  );
}

const CALL_WORDS = {
  totality: "lead.called.totality",
  "sun returns": "lead.called.sunReturns",
  "stay filtered": "lead.called.stayFiltered",
} as const;

/** Farther off it was no call of that contact, ms. */
const COMPARED_MS = 600_000;

/** "+1.3 s against the prediction." */
function offWords({ atRunMs, predictedRunMs }: Call): string {
  const offMs = atRunMs - (predictedRunMs ?? Number.NaN);
  return Math.abs(offMs) < COMPARED_MS ? t("lead.called.off", { by: offText(offMs) }) : "";
}

/** The newest call of this run that stands, and the way to take it back. */
function StandingCall() {
  const { give } = useOrders();
  const now = useRun();
  const standing = now && newestStanding(now.run.run.calls);
  if (!standing) return null;
  return (
    <p className="action-bar__called" data-called={standing.call}>
      <span>
        {t(CALL_WORDS[standing.call], { time: clockText(standing.atRunMs) })} {offWords(standing)}
      </span>
      <Button action="take-back" onClick={() => void give({ type: "takeBackCall", callId: standing.callId })}>
        {t("lead.call.takeBack")}
      </Button>
    </p>
  );
}
