/**
 * What is on every screen of the console: practice, "Cover every lens", the way to the other
 * screens, the eclipse clock with what this place gets, and the one action that makes everything
 * safe. The screens fill the middle.
 */
import { type ReactNode, useEffect } from "react";
import { localEclipse } from "../../shared/plan/local-eclipse.ts";
import { contactsOf } from "../../shared/run/effective-contacts.ts";
import { currentRun, practiceAt, runTime } from "../../shared/run/run-time.ts";
import { useNow } from "../link/use-session.ts";
import { EmptyNote } from "../parts/empty-note.tsx";
import { Fence } from "../parts/fence.tsx";
import { late } from "../parts/late.tsx";
import { PracticeBanner } from "../parts/practice-banner.tsx";
import { practiceSentence } from "../parts/practice-sentence.ts";
import { usePalette } from "../parts/use-palette.ts";
import { useWords } from "../words/words.ts";
import { RigsScreen } from "./plan/rigs/rigs-screen.tsx";
import { SiteScreen } from "./plan/site/site-screen.tsx";
import { PracticeScreen } from "./practise/practice-screen.tsx";
import { ArrayScreen } from "./run/array/array-screen.tsx";
import { isGlance } from "./run/array/filter-glance.ts";
import { ActionBar } from "./shell/action-bar.tsx";
import { DangerBand } from "./shell/alerts/danger-band.tsx";
import { SoundProvider } from "./shell/alerts/sound.tsx";
import { CoverBanner } from "./shell/cover-banner.tsx";
import { endText } from "./shell/date-text.ts";
import { useLead } from "./shell/lead-context.ts";
import { MainNav } from "./shell/main-nav.tsx";
import { RefusalLine } from "./shell/refusal-line.tsx";
import { firstScreen, go, type Screen, useRoute } from "./shell/route.ts";
import { RunHeader } from "./shell/run-header.tsx";
import { RunProvider } from "./shell/run-provider.tsx";
import { OrdersProvider } from "./shell/use-order.tsx";
import { type RunNow, useRun } from "./shell/use-run.ts";
import "./shell/console-frame.css";

const ClockScreen = late(async () => (await import("./set-up/clock/clock-screen.tsx")).ClockScreen);
const RecordScreen = late(async () => (await import("./after/record-screen.tsx")).RecordScreen);
const DebriefScreen = late(async () => (await import("./after/debrief/debrief-screen.tsx")).DebriefScreen);
const ProgressScreen = late(
  async () => (await import("./after/progress/progress-screen.tsx")).ProgressScreen,
);
const CameraClocksScreen = late(
  async () => (await import("./after/camera-clocks/camera-clocks-screen.tsx")).CameraClocksScreen,
);
const ImagesScreen = late(async () => (await import("./after/images/images-screen.tsx")).ImagesScreen);
const LeadsScreen = late(async () => (await import("./set-up/leads/leads-screen.tsx")).LeadsScreen);
const JoinSheet = late(async () => (await import("./set-up/join-sheet.tsx")).JoinSheet);
const CrowdSheet = late(async () => (await import("./set-up/crowd-sheet.tsx")).CrowdSheet);
const PaperScreen = late(async () => (await import("./plan/paper/paper-screen.tsx")).PaperScreen);

/** Screens that need nothing planned. */
const ALWAYS: readonly Screen[] = ["site", "clock", "record", "camera-clocks", "leads"];
const BARE: readonly Screen[] = ["join-sheet", "crowd", "cue-sheets"];

export function ConsoleFrame() {
  const { session, view } = useLead();
  const { t, locale } = useWords();
  const { state } = view;
  const route = useRoute();
  const now = useNow(session, 1000);
  const practice = state ? practiceAt(state, now) : null;
  const readRunNow = () => (state ? runTime(practiceAt(state, session.now()), session.now()) : null);
  const contacts = state ? contactsOf(state, currentRun(state, now)) : null;
  const dark = state && localEclipse(state.circumstances).kind === "total" ? contacts : null;
  const palette = usePalette(dark, readRunNow);

  const wanted = route.screen;
  const first = state ? firstScreen(state.plan) : null;
  // Until eclipse and site are chosen, nothing that hangs on them can be shown.
  const screen: Screen | null =
    first === null
      ? null
      : wanted === null || (first === "site" && !ALWAYS.includes(wanted))
        ? first
        : wanted;
  // biome-ignore lint/correctness/useExhaustiveDependencies: t speaks the language of `locale`.
  useEffect(() => {
    document.title = screen ? `${t(`lead.nav.${screen}`)} · ${t("app.name")}` : t("app.name");
  }, [screen, locale]);

  if (!state || !screen)
    return (
      <Providers>
        <main className="console-wait" data-screen="waiting">
          <EmptyNote
            text={t(view.linkState === "never linked" ? "lead.wait.neverLinked" : "app.loading")}
            action={
              <button type="button" className="button" onClick={() => window.location.reload()}>
                {t("lead.wait.again")}
              </button>
            }
          />
        </main>
        <CoverFoot />
      </Providers>
    );
  const loading = <EmptyNote text={t("app.loading")} />;
  const broken = <EmptyNote text={t("lead.part.broken")} />;

  if (BARE.includes(screen))
    return (
      <Providers>
        <div className="no-print">
          <PracticeMark />
          <DangerBand rigsElsewhere={nowhere} />
        </div>
        <Fence key={screen} instead={broken}>
          {screen === "join-sheet" && <JoinSheet instead={loading} close={() => go("rigs")} />}
          {screen === "crowd" && <CrowdSheet instead={loading} close={() => go("rigs")} />}
          {screen === "cue-sheets" && (
            <PaperScreen instead={loading} item={route.item} close={() => go("rigs")} />
          )}
        </Fence>
        <CoverFoot />
      </Providers>
    );

  return (
    <Providers>
      <div
        className="console"
        data-page="lead"
        data-screen={screen}
        data-practice={practice !== null}
        data-revision={state.plan.revision}
      >
        <PracticeMark />
        <CoverBanner />
        <MainNav screen={screen} palette={palette} />
        <RunHeader />
        <RefusalLine />
        <DangerBand rigsElsewhere={screen === "array" ? atTheRigs : nowhere} />
        <main className="console__main">
          <Fence key={screen} instead={broken}>
            {screen === "array" && <ArrayScreen item={route.item} />}
            {screen === "site" && <SiteScreen first={first === "site"} />}
            {screen === "rigs" && <RigsScreen item={route.item} />}
            {screen === "practice" && <PracticeScreen />}
            {screen === "clock" && <ClockScreen instead={loading} />}
            {screen === "record" &&
              (route.item === null ? (
                <RecordScreen instead={loading} />
              ) : route.item === "practices" ? (
                <ProgressScreen instead={loading} />
              ) : (
                <DebriefScreen instead={loading} runId={route.item} />
              ))}
            {screen === "camera-clocks" && <CameraClocksScreen instead={loading} />}
            {screen === "images" && <ImagesScreen instead={loading} />}
            {screen === "leads" && <LeadsScreen instead={loading} />}
          </Fence>
        </main>
        <ActionBar calls={screen === "array"} />
      </div>
    </Providers>
  );
}

/** Orders can be given, and the run is known, on every screen. */
function Providers({ children }: { children: ReactNode }) {
  return (
    <OrdersProvider>
      <RunProvider>
        <SoundProvider>{children}</SoundProvider>
      </RunProvider>
    </OrdersProvider>
  );
}

/** S7 where a screen is nothing but itself: "Cover every lens", its key, whether it went out, its release. */
function CoverFoot() {
  return (
    <div className="console-foot no-print">
      <CoverBanner />
      <RefusalLine />
      <ActionBar calls={false} />
    </div>
  );
}

/** In place of a console that cannot be drawn: what is left is what makes safe. */
export function BrokenConsole() {
  const { t } = useWords();
  return (
    <OrdersProvider>
      <main className="console-wait" data-screen="broken">
        <EmptyNote text={t("lead.part.broken")} />
      </main>
      <CoverFoot />
    </OrdersProvider>
  );
}

/** S8: that it is a practice, and what it asks of the filters here. */
function PracticeMark() {
  const { t } = useWords();
  const now = useRun();
  if (!now?.practice) return null;
  const { rate, endsAtUtcMs } = now.practice;
  return (
    <PracticeBanner
      sentence={t(practiceSentence(now.run.rigs))}
      rate={rate}
      endsText={endText(endsAtUtcMs, now.now)}
    />
  );
}

const nowhere = () => false;

/** Around totality the array is nothing but who needs somebody. */
function atTheRigs({ run }: RunNow): boolean {
  return isGlance(run.contacts, run.gets.kind === "total", run.runNow);
}
