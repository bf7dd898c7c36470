/**
 * A phone's page for its rigs: the truth on top, the clock, then one of three screens. All of it
 * is worked out here from what the phone holds; without a hub it goes on by itself.
 */
import { type ReactNode, useEffect, useMemo, useRef, useState } from "react";
import { REVISION_MS } from "../../shared/run/doubt.ts";
import { nextAwaited } from "../../shared/run/effective-contacts.ts";
import { runTime } from "../../shared/run/run-time.ts";
import type { PageSession } from "../link/open-session.ts";
import { useNow, useSessionView } from "../link/use-session.ts";
import { keepAtHand } from "../offline/keep-at-hand.ts";
import { ClockFace } from "../parts/clock-face.tsx";
import { Countdown } from "../parts/countdown.tsx";
import { EmptyNote } from "../parts/empty-note.tsx";
import { Fence } from "../parts/fence.tsx";
import { late } from "../parts/late.tsx";
import { LinkLine } from "../parts/link-line.tsx";
import { linkName } from "../parts/link-name.ts";
import { PracticeBanner } from "../parts/practice-banner.tsx";
import { practiceSentence } from "../parts/practice-sentence.ts";
import { clockText } from "../parts/time-format.ts";
import { TimeLine } from "../parts/time-line.tsx";
import { usePalette } from "../parts/use-palette.ts";
import { useWords, type WordKey } from "../words/words.ts";
import { Covered } from "./covered.tsx";
import { prefs, usePrefs } from "./device/prefs.ts";
import { BatteryWatch } from "./device/use-battery.ts";
import { JoinTrouble } from "./join/join-trouble.tsx";
import type { Joining } from "./join/joined-rigs.ts";
import { FAR_MS, longText } from "./long-text.ts";
import { useOwnPlace } from "./place/use-own-place.ts";
import { usePosition } from "./place/use-position.ts";
import { OwnLog } from "./report/own-log.ts";
import { ReportScreen } from "./report/report-screen.tsx";
import { Notices } from "./run/notices.tsx";
import { type RigScene, rigScene } from "./run/rig-scene.ts";
import { RunScreen } from "./run/run-screen.tsx";
import { NOTHING_TOLD, type Told, toldOf, useSeenReport } from "./run/told.ts";
import { useRigActs } from "./run/use-rig-run.ts";
import { SetupScreen } from "./setup/setup-screen.tsx";
import { useArmedReport, useSounds } from "./sound/use-sounds.ts";

/** Joined or not: a page that opens without the hub says at least that filters are on. */
export function keepRigAtHand(): void {
  keepAtHand("/rig");
}

export interface RigPageProps {
  joining: Joining;
  session: PageSession;
  onLeave: (rigId: string) => void;
}

/** Of a rig whose link was replaced, or that another hub does not know, this phone goes on to tell. */
const STAYS = new Set(["revoked", "other hub"]);
const SCREENS = ["setup", "run", "report"] as const;
type Screen = (typeof SCREENS)[number];
const DRAW_MS = 250;

const PlacePart = late(() => import("./place/place-part.tsx").then((part) => part.PlacePart));
export function RigPage({ joining, session, onLeave }: RigPageProps) {
  const { t } = useWords();
  const view = useSessionView(session);
  useNow(session, DRAW_MS);
  const reading = session.reading();
  const refused = view.refusedRigs.filter((item) => joining.rigs.some((rig) => rig.id === item.rigId));
  const rigIds = joining.rigs
    .map((rig) => rig.id)
    .filter((id) => !refused.some((item) => item.rigId === id && !STAYS.has(item.reason)));
  const { place, holds, takePlace } = useOwnPlace(joining.store, view.state, reading.utcMs);
  const own = holds ? place : null;
  const watch = usePosition(joining.store, session);
  const position = watch?.read(view.state, own) ?? null;
  const scene = rigScene(view, reading, rigIds, place, position?.word === "away");
  const log = useMemo(() => new OwnLog(joining.store), [joining.store]);
  const acts = useRigActs(session, log);
  const { textScale, hand } = usePrefs();
  const [screen, setScreen] = useState<Screen>(() => (prefs().wasArmed ? "run" : "setup"));
  const shown: Screen = scene?.picture.quiet ? "run" : screen;
  // Near a cue no question of the browser's may cover the page.
  const told: Told = scene ? toldOf(scene, view.oldOrders) : NOTHING_TOLD;
  const rings = told.rings ? told.message : undefined;
  const sounds = useSounds(session, scene, view.cover, rings, scene?.picture.quiet ? undefined : watch?.ask);
  const { armed } = sounds;
  useSeenReport(session, scene, told, armed.sound);
  useArmedReport(session, rigIds, armed, view.linkState !== "never linked");
  const main = useRef<HTMLElement>(null);
  useEffect(() => {
    // A pressed button would keep the focus, and the next key of a remote would press it again
    // instead of confirming. One reached by keys (0 presses) keeps it.
    const pressed = ({ detail, target }: MouseEvent): void => {
      if (detail > 0) (target as Element).closest("button")?.blur();
    };
    window.addEventListener("click", pressed);
    return () => window.removeEventListener("click", pressed);
  }, []);
  useEffect(() => {
    if (!shown) return;
    window.scrollTo(0, 0);
    main.current?.scrollTo(0, 0);
  }, [shown]);

  const read = (): number => runTime(scene?.practice ?? null, session.now());
  const dark = scene?.gets.kind === "total" ? scene.view.contacts : null;
  const { choice, choose } = usePalette(dark, read);
  useEffect(() => {
    document.documentElement.style.setProperty("--text-scale", String(textScale));
    document.documentElement.dataset.hand = hand;
    document.documentElement.dataset.text = textScale > 1 ? "large" : "plain";
  }, [textScale, hand]);

  const nameOf = (id: string): string => view.state?.plan.rigs.find((rig) => rig.id === id)?.name ?? id;
  const inPractice = scene?.practice ?? null;
  /** Something is known of the site, and of a rig of this phone. */
  const ready = scene !== null && scene.rigs.length > 0;
  return (
    <div
      className="rig-page"
      data-page="rig"
      data-link={linkName(view.linkState)}
      data-link-state={view.linkState}
      data-practice={inPractice !== null}
      data-armed={armed.sound}
      data-quiet={scene?.picture.quiet ?? false}
      data-still={ready && shown === "run"}
      data-danger={scene?.rigs.some((status) => status.exposed) ?? false}
    >
      <BatteryWatch rigIds={scene ? scene.rigs.map((status) => status.rig.id) : []} send={acts.send} />
      {view.cover ? <Covered scene={scene} acts={acts} /> : null}
      {/* What lies under the cover can be neither pressed nor reached (WCAG 2.4.11). */}
      <header className="rig-head" inert={view.cover}>
        <LinkLine
          linkState={view.linkState}
          sinceUtcMs={view.sinceUtcMs}
          boundMs={reading.boundMs}
          utcBoundMs={inPractice ? null : reading.utcBoundMs - reading.boundMs}
          queued={view.queued}
        />
        <p className="rig-names" data-names={true}>
          {rigIds.map(nameOf).join(" · ")}
        </p>
        {inPractice ? (
          <PracticeBanner
            endsText={`${clockText(inPractice.endsAtUtcMs)} ${t("time.utc")}`}
            rate={inPractice.rate}
            sentence={t(practiceSentence(scene?.rigs ?? []))}
          />
        ) : null}
      </header>
      <main ref={main} className="rig-main" inert={view.cover}>
        {ready ? null : <h1 className="only-read-aloud">{t("app.name")}</h1>}
        {view.refused && !(view.refused.code === "not-allowed" && refused.length > 0) ? (
          <p role="alert" className="rig-alert">
            {t("rig.refused.program")}
          </p>
        ) : null}
        {acts.unsafe ? (
          <p role="alert" className="rig-alert">
            {t("rig.storage.unsafe")}
          </p>
        ) : null}
        {ready ? (
          <Times scene={scene} read={read}>
            {armed.sound || (shown === "setup" && !scene.picture.quiet) ? null : (
              <button
                type="button"
                className="rig-unarmed"
                data-action="arm-now"
                onClick={() => sounds.arm?.()}
              >
                {t(armed.asked ? "rig.arm.lost" : "rig.arm.not")}
              </button>
            )}
          </Times>
        ) : null}
        <div className="rig-news">
          <JoinTrouble
            refused={refused}
            bad={joining.bad}
            formerKept={view.formerKept}
            nameOf={nameOf}
            quiet={scene?.picture.quiet ?? false}
            onLeave={onLeave}
          />
          {ready ? (
            <>
              {own ? (
                <p className="rig-own" data-own-place>
                  {t("rig.place.marked", { lat: own.latDeg.toFixed(4), lon: own.lonDeg.toFixed(4) })}
                </p>
              ) : null}
              {!own && reading.utcMs - (place?.endedUtcMs ?? 0) < REVISION_MS ? (
                <p className="rig-own" role="status" data-own-place="ended">
                  {t("rig.place.ended")}
                </p>
              ) : null}
              <Notices
                scene={scene}
                told={told}
                session={view}
                onOrdersSeen={session.noteOrdersSeen}
                onRead={session.noteRead}
                onReady={(rigId, ready) => acts.send(rigId, { ready })}
              />
            </>
          ) : null}
        </div>
        {ready ? (
          <>
            {shown === "run" ? <OwnTimeLine scene={scene} /> : null}
            {shown === "run" ? (
              <Fence instead={<EmptyNote text={t("rig.part.broken")} />}>
                <RunScreen scene={scene} session={view} acts={acts} read={read} />
              </Fence>
            ) : (
              <Fence instead={<EmptyNote text={t("rig.part.broken")} />}>
                {shown === "setup" ? (
                  <SetupScreen
                    scene={scene}
                    acts={acts}
                    sounds={sounds}
                    palette={choice}
                    onPalette={choose}
                    rigs={joining.rigs.map(({ id }) => ({ id, name: nameOf(id) }))}
                    onLeave={onLeave}
                    kept={joining.kept}
                    position={position}
                    place={
                      view.state && (
                        <PlacePart
                          state={view.state}
                          own={own}
                          now={reading.utcMs}
                          store={joining.store}
                          position={position}
                          onPosition={watch?.note}
                          onTake={takePlace}
                        />
                      )
                    }
                  />
                ) : (
                  <ReportScreen scene={scene} session={view} acts={acts} log={log} />
                )}
              </Fence>
            )}
          </>
        ) : refused.length === 0 || rigIds.length > 0 ? (
          <EmptyNote text={t(scene ? "rig.refused.notInPlan" : "rig.join.waiting")} />
        ) : null}
      </main>
      {ready && !scene.picture.quiet && !scene.cover ? <ScreenBar shown={shown} onShow={setScreen} /> : null}
    </div>
  );
}

function ScreenBar({ shown, onShow }: { shown: Screen; onShow: (screen: Screen) => void }) {
  const { t } = useWords();
  return (
    <nav className="rig-nav" data-shown={shown}>
      {SCREENS.map((name) => (
        <button
          key={name}
          type="button"
          data-show={name}
          aria-current={name === shown ? "page" : undefined}
          onClick={() => onShow(name)}
        >
          {t(`rig.nav.${name}`)}
        </button>
      ))}
    </nav>
  );
}

interface TimesProps {
  scene: RigScene;
  read: () => number;
  /** Stands above the clock, or beside it where the page is low. */
  children: ReactNode;
}

function Times({ scene, read, children }: TimesProps) {
  const { t } = useWords();
  const { contacts, runNow } = scene.view;
  const next = nextAwaited(contacts, runNow);
  return (
    <div className="rig-times">
      {children}
      <ClockFace read={read} zone={scene.state.plan.site?.zone ?? null} practice={scene.practice !== null} />
      {next && next.at - runNow > FAR_MS ? (
        <p className="countdown">
          <span className="countdown-label">{t(countdownKey(next.name, scene.gets.kind))}</span>
          <span className="countdown-figures" dir="auto">
            {longText(next.at - runNow, t)}
          </span>
        </p>
      ) : (
        <Countdown
          to={next?.at ?? null}
          read={read}
          label={next ? t(countdownKey(next.name, scene.gets.kind)) : t("rig.until.over")}
        />
      )}
    </div>
  );
}

function OwnTimeLine({ scene }: { scene: RigScene }) {
  const cues = scene.picture.lines.map((line) => ({
    id: line.key,
    dueMs: line.dueMs,
    fromMs: line.fromMs,
    toMs: line.toMs,
    handsS: line.cue.handsS,
    state: line.state,
  }));
  return (
    <div className="rig-line">
      <Fence instead={null}>
        <TimeLine contacts={scene.view.contacts} runNow={scene.view.runNow} cues={cues} />
      </Fence>
    </div>
  );
}

function countdownKey(name: "c1" | "c2" | "max" | "c3" | "c4", kind: string): WordKey {
  if (name === "c2") return kind === "annular" ? "rig.until.ring" : "rig.until.totality";
  if (name === "c3") return kind === "annular" ? "rig.until.ringEnds" : "rig.until.sunReturns";
  if (name === "c1") return "rig.until.first";
  return name === "max" ? "rig.until.max" : "rig.until.last";
}
