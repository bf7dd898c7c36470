/** UTC with milliseconds, as large as the screen: to photograph, or to set watches by. */
import { useRef } from "react";
import { DOUBT_BOUND_MS } from "../../../../shared/run/doubt.ts";
import { isoDate } from "../../../../shared/time/iso.ts";
import { useEachFrame, writeText } from "../../../parts/each-frame.ts";
import { boundText, clockText } from "../../../parts/time-format.ts";
import { t } from "../../../words/words.ts";
import { Button } from "../../shell/button.tsx";
import { useLead } from "../../shell/lead-context.ts";
import "./big-clock.css";

export function BigClock(props: { close: () => void }) {
  const { session } = useLead();
  const seconds = useRef<HTMLSpanElement>(null);
  const millis = useRef<HTMLSpanElement>(null);
  const says = useRef<HTMLParagraphElement>(null);
  const date = useRef<HTMLParagraphElement>(null);
  useEachFrame(() => {
    const reading = session.reading();
    const set = reading.state !== "none";
    const at = reading.utcMs;
    writeText(seconds.current, set ? clockText(at) : "––:––:––");
    writeText(
      millis.current,
      set ? `.${String(Math.floor(((at % 1000) + 1000) % 1000)).padStart(3, "0")}` : ".–––",
    );
    writeText(date.current, set ? `${isoDate(at)} ${t("time.utc")}` : t("lead.bigClock.notSet"));
    const within = t("lead.bigClock.within", { bound: boundText(reading.utcBoundMs) });
    const { apartMs = 0 } = session.view().clockHealth;
    const against =
      apartMs > DOUBT_BOUND_MS ? ` ${t("lead.bigClock.against", { by: boundText(apartMs) })}` : "";
    writeText(says.current, set ? `${within}${against}` : "");
  });
  return (
    <main className="big-clock" data-screen="big-clock">
      <p className="big-clock__date" ref={date} />
      <p className="big-clock__time" role="timer" aria-live="off">
        <span ref={seconds} />
        <span className="big-clock__millis" ref={millis} />
      </p>
      <p className="big-clock__says" ref={says} />
      <p className="big-clock__frame">{t("lead.bigClock.frame")}</p>
      <Button action="close-big-clock" onClick={props.close}>
        {t("lead.close")}
      </Button>
    </main>
  );
}
