/** The way into a drill: what this phone holds, a segment, then the rig page itself, then how it went. */
import { useCallback, useEffect, useState } from "react";
import type { Review } from "../../shared/review/review.ts";
import { BrowserStore } from "../link/browser-store.ts";
import { openRigSession, type PageSession } from "../link/open-session.ts";
import { useNow, useSessionView } from "../link/use-session.ts";
import { EmptyNote } from "../parts/empty-note.tsx";
import "../words/bundles/drill.ts";
import { type Joining, joinRigs } from "../rig/join/joined-rigs.ts";
import { RigPage } from "../rig/rig-page.tsx";
import { useWords } from "../words/words.ts";
import { DrillResult } from "./drill-result.tsx";
import { DrillSession, mayDrill, type Segment } from "./drill-session.ts";

const SEGMENTS: Readonly<Record<"whole" | "open" | "close" | "middle", Segment>> = {
  whole: { from: { anchor: "C2", offsetS: -180 }, until: { anchor: "C3", offsetS: 60 } },
  open: { from: { anchor: "C2", offsetS: -60 }, until: { anchor: "C2", offsetS: 40 } },
  close: { from: { anchor: "C3", offsetS: -60 }, until: { anchor: "C3", offsetS: 60 } },
  middle: { from: { anchor: "max", offsetS: -120 }, until: { anchor: "max", offsetS: 120 } },
};
const RATES = [1, 2, 4] as const;

interface Open {
  joining: Joining;
  session: PageSession;
}

export function DrillGate() {
  const { t } = useWords();
  const [open, setOpen] = useState<Open | "nothing" | null>(null);
  useEffect(() => {
    const store = new BrowserStore("noonfall-rig");
    let session: PageSession | null = null;
    let gone = false;
    void joinRigs("", store, [], []).then((joining) => {
      if (gone) return;
      if (joining.rigs.length === 0) {
        setOpen("nothing");
        return;
      }
      session = openRigSession(joining.rigs, store, joining.left);
      setOpen({ joining: { ...joining, store: readingOnly(store) }, session });
    });
    return () => {
      gone = true;
      session?.close();
    };
  }, []);
  if (open === null) return <EmptyNote text={t("app.loading")} />;
  if (open === "nothing")
    return (
      <main className="drill" data-page="drill">
        <EmptyNote text={t("drill.noRig")} />
      </main>
    );
  return <Drill {...open} />;
}

function Drill({ joining, session }: Open) {
  const { t } = useWords();
  const view = useSessionView(session);
  const now = useNow(session, 500);
  const [drill, setDrill] = useState<DrillSession | null>(null);
  const [how, setHow] = useState<{ review: Review; touched: readonly string[] } | null>(null);
  const [rate, setRate] = useState(1);
  const rigIds = joining.rigs.map(({ id }) => id);
  const on = drill?.isOn() ?? false;
  const end = useCallback(
    (over: DrillSession) => {
      const ids = joining.rigs.map(({ id }) => id);
      const review = over.review(ids);
      setHow(review && { review, touched: over.touchOnly(ids) });
      setDrill(null);
    },
    [joining],
  );
  useEffect(() => {
    if (drill && !on) end(drill);
  }, [drill, on, end]);

  if (drill && on)
    return (
      <div className="drill-on" data-drill={true}>
        <div className="drill-bar">
          <strong>{t("drill.title")}</strong>
          <button type="button" className="button" data-action="end-drill" onClick={() => end(drill)}>
            {t("drill.end")}
          </button>
        </div>
        <RigPage joining={joining} session={drill} onLeave={() => undefined} />
      </div>
    );
  const central = mayDrill(view, SEGMENTS.whole, now) !== "no such contact";
  const offered = central ? (["whole", "open", "close"] as const) : (["middle"] as const);
  const why = mayDrill(view, SEGMENTS[central ? "whole" : "middle"], now);
  const { state } = view;
  const names = rigIds.map((id) => state?.plan.rigs.find((rig) => rig.id === id)?.name ?? id);
  return (
    <main className="drill" data-page="drill" data-why-not={why ?? "none"}>
      <h1>{t("drill.title")}</h1>
      <p>
        <bdi>{names.join(" · ")}</bdi>
      </p>
      {how && <DrillResult {...how} rigs={state?.plan.rigs ?? []} />}
      <p>{t("drill.says")}</p>
      {why ? (
        <p role="alert" className="drill__why">
          {t(`drill.why.${why}`)}
        </p>
      ) : (
        <>
          <p className="drill__caution">{t("drill.filters")}</p>
          <fieldset className="drill__pace">
            <legend>{t("drill.pace")}</legend>
            {RATES.map((one) => (
              <button
                key={one}
                type="button"
                className="button"
                aria-pressed={rate === one}
                data-action="drill-rate"
                onClick={() => setRate(one)}
              >
                {one} ×
              </button>
            ))}
          </fieldset>
          {offered.map((name) => (
            <button
              key={name}
              type="button"
              className="button button--main"
              data-action="start-drill"
              data-segment={name}
              onClick={() => {
                setHow(null);
                setDrill(new DrillSession(session, SEGMENTS[name], rate));
              }}
            >
              {t(`drill.segment.${name}`)}
            </button>
          ))}
        </>
      )}
      <a className="button button--quiet" href="/rig">
        {t("drill.back")}
      </a>
    </main>
  );
}

/** What a drill would write down stays unwritten. */
function readingOnly(store: BrowserStore): BrowserStore {
  const nothing = { value: async () => undefined };
  return Object.create(store, { set: nothing, change: nothing }) as BrowserStore;
}
