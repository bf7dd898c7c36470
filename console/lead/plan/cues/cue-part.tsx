/**
 * A rig's cues as sentences under headings of what happens, beneath the drawn line of time; for a
 * clear sky and, as what differs from it, for any other. Rules look at every change at once: what
 * they find stands at its cue with what mends it, and binds when it is saved.
 */
import "../../../words/bundles/cues.ts";
import { useMemo, useState } from "react";
import type { AssessedFinding, AssessedHands } from "../../../../shared/plan/assess/assess-plan.ts";
import type { RigBudget } from "../../../../shared/plan/budgets/rig-budget.ts";
import { defaultCues } from "../../../../shared/plan/defaults/default-cues.ts";
import { leadersOf } from "../../../../shared/plan/edits/follow.ts";
import { localEclipse } from "../../../../shared/plan/local-eclipse.ts";
import type { Cue } from "../../../../shared/plan/model/cue.ts";
import type { Rig } from "../../../../shared/plan/model/plan.ts";
import type { CueAnchor } from "../../../../shared/plan/model/vocabulary.ts";
import {
  anchorMs,
  type EffectiveContacts,
  plannedContacts,
} from "../../../../shared/run/effective-contacts.ts";
import { CheckField } from "../../../forms/check-field.tsx";
import { clockText } from "../../../parts/time-format.ts";
import { anchorWords } from "../../../parts/words-for-anchor.ts";
import { t, type WordKey } from "../../../words/words.ts";
import { Button } from "../../shell/button.tsx";
import { useLead } from "../../shell/lead-context.ts";
import { cameraOffers } from "./camera-offers.ts";
import { CopyFrom } from "./copy-from.tsx";
import { type Chapter, chaptersOf } from "./cue-chapters.ts";
import {
  asInBase,
  baseUnder,
  type CueDraft,
  cuesUnder,
  differences,
  type Sky,
  withCue,
  withCuesUnder,
  withNewCue,
  withoutCue,
  withoutDifference,
} from "./cue-draft.ts";
import type { CueEditorProps } from "./cue-editor.tsx";
import { CueLine } from "./cue-line.tsx";
import { type CueMend, mendsOf } from "./cue-mends.ts";
import { CueRow, FoundAt, type FoundAtCue } from "./cue-row.tsx";
import { sentenceText } from "./cue-sentence.ts";
import { whatOf } from "./edit-sentence.ts";
import { handsAtCues } from "./hands-at-cues.ts";
import { changed, type History, redone, undone } from "./history.ts";
import { Differences, SkyChoice } from "./sky-part.tsx";
import { useCueKeys } from "./use-cue-keys.ts";
import { whyKey } from "./why-cue.ts";
import type { WrongCue } from "./wrong-cue.ts";
import "./cue-part.css";

interface CuePartProps {
  /** As typed; its cues are those of the draft for a clear sky. */
  rig: Rig;
  work: History<CueDraft>;
  setWork: (work: History<CueDraft>) => void;
  /** What the hub found wrong in the last save. */
  wrong: WrongCue | null;
  /** What a check of the draft says of this rig. */
  found: readonly AssessedFinding[];
  /** What it says of people's hands, for a clear sky. */
  hands: readonly AssessedHands[];
  budget: RigBudget | null;
  /** A save looks for the cue that cannot be read. */
  sought: object | null;
  /** Told whether something of the open cue cannot be read as typed. */
  unread: (unread: boolean) => void;
  others: readonly Rig[];
  /** Copies what was changed at another rig; null while something here is not saved. */
  copy: ((fromRigId: string) => void) | null;
}

export function CuePart(props: CuePartProps) {
  const { rig, work, setWork } = props;
  const draft = work.now;
  const { state } = useLead().view;
  const circumstances = state?.circumstances ?? null;
  const gets = useMemo(() => localEclipse(circumstances), [circumstances]);
  const contacts = useMemo(() => state && plannedContacts(state), [state]);
  const usual = useMemo(() => defaultCues(rig, gets), [rig, gets]);
  const [sky, setSky] = useState<Sky>("clear");
  const [openId, setOpenId] = useState<string | null>(null);
  const [search, setSearch] = useState("");
  const [only, setOnly] = useState(false);
  const list = useMemo(() => cuesUnder(draft, sky), [draft, sky]);
  const base = baseUnder(draft, sky, usual);
  const edits = useMemo(() => differences(draft, sky, usual), [draft, sky, usual]);
  const put = (next: CueDraft, step: string | null) => setWork(changed(work, next, step));

  // Mends are tried by the rules, so they are worked out once for each check.
  const found = useMemo((): FoundAtCue[] => {
    const asked = { rig, sky, cues: list, base, gets };
    const ofRules = props.found
      .filter(({ data }) => (data.variant ?? "clear") === sky)
      .map((finding) => ({ finding, mends: mendsOf(finding.code, finding.cueId, asked) }));
    return sky === "clear" ? [...ofRules, ...handsAtCues(props.hands, rig)] : ofRules;
  }, [props.found, props.hands, rig, sky, list, base, gets]);

  const wanted = search.trim().toLocaleLowerCase();
  const differing = new Set(edits.map(({ cueId }) => cueId));
  const shown = list.filter(
    (cue) =>
      (wanted === "" || sentenceText(cue, list).toLocaleLowerCase().includes(wanted)) &&
      (sky === "clear" || !only || differing.has(cue.id)),
  );
  const isHere = (anchor: CueAnchor) => contacts !== null && anchorMs(contacts, anchor) !== null;
  const chapters = contacts ? chaptersOf(shown, contacts) : [];
  const mend = ({ cues }: CueMend) => put(withCuesUnder(draft, sky, cues), null);
  const add = () => {
    const added = withNewCue(draft, sky);
    if (!added) return;
    put(added.draft, null);
    setSearch("");
    setOnly(false);
    setOpenId(added.cueId);
  };
  const editorOf = (cue: Cue): Omit<CueEditorProps, "cue"> => ({
    known: base.some(({ id }) => id === cue.id),
    differs: differing.has(cue.id),
    underSky: sky !== "clear",
    why: whyKey(
      cue,
      usual.some(({ id }) => id === cue.id),
    ),
    offers: props.budget ? cameraOffers(cue, props.budget, rig) : [],
    isHere,
    others: othersFor(cue, list),
    line: contacts && { contacts, cues: list, choose: setOpenId },
    sought: props.sought,
    change: (part, step) => put(withCue(draft, sky, cue.id, part), `${sky} ${step} ${cue.id}`),
    unread: props.unread,
    asBase: () => put(asInBase(draft, sky, usual, cue.id), null),
    takeOut: () => put(withoutCue(draft, sky, cue.id), null),
    close: () => setOpenId(null),
  });
  useCueKeys({
    undo: () => setWork(undone(work)),
    redo: () => setWork(redone(work)),
    close: () => {
      setOpenId(null);
      return openId;
    },
  });
  return (
    <section className="cue-part" data-cues={list.length} data-sky={sky}>
      <header className="cue-part__head">
        <h3>{t("cues.title")}</h3>
        <SkyChoice sky={sky} count={(one) => differences(draft, one, usual).length} choose={setSky} />
      </header>
      {contacts && <CueLine contacts={contacts} cues={list} open={null} choose={setOpenId} />}
      <div className="cue-part__tools">
        <Button action="undo" disabled={work.past.length === 0} onClick={() => setWork(undone(work))}>
          {t("cues.undo")}
        </Button>
        <Button action="redo" disabled={work.ahead.length === 0} onClick={() => setWork(redone(work))}>
          {t("cues.redo")}
        </Button>
        <Button action="add-cue" onClick={add}>
          {t("cues.add")}
        </Button>
        <input
          type="search"
          name="find-cue"
          className="field cue-part__search"
          aria-label={t("cues.search")}
          placeholder={t("cues.search")}
          value={search}
          onChange={(event) => setSearch(event.target.value)}
        />
        {wanted !== "" && (
          <span role="status" className="soft">
            {t("cues.found", { count: shown.length })}
          </span>
        )}
      </div>
      <Differences
        sky={sky}
        edits={edits}
        base={base}
        list={list}
        takeBack={(edit) => put(withoutDifference(draft, sky, usual, edit), null)}
      />
      {sky !== "clear" && edits.length > 0 && (
        <CheckField name="only" label="cues.only" value={only} change={setOnly} />
      )}
      <FoundAt
        found={found.filter(({ finding }) => !list.some(({ id }) => id === finding.cueId))}
        underSky={sky !== "clear"}
        take={mend}
      />
      {list.length === 0 && <p className="soft">{t("lead.cues.none")}</p>}
      {chapters.map((chapter) => (
        <section key={chapter.name} className="cue-chapter" data-chapter={chapter.name}>
          <ChapterHead chapter={chapter} contacts={contacts} ring={gets.kind === "annular"} />
          <ol className="cue-chapter__cues">
            {chapter.cues.map(({ cue, dueMs }) => (
              <CueRow
                key={`${sky} ${cue.id}`}
                cue={cue}
                dueMs={dueMs}
                list={list}
                underSky={sky !== "clear"}
                wrong={props.wrong?.sky === sky && props.wrong.cueId === cue.id ? props.wrong.field : ""}
                notes={sky === "clear" ? [] : edits.filter(({ cueId }) => cueId === cue.id).map(whatOf)}
                found={found.filter(({ finding }) => finding.cueId === cue.id)}
                toggle={() => setOpenId(cue.id === openId ? null : cue.id)}
                mend={mend}
                editor={cue.id === openId ? editorOf(cue) : null}
              />
            ))}
          </ol>
        </section>
      ))}
      <div className="cue-part__whole">
        {sky === "clear" && (
          <Button
            action="default-cues"
            kind="quiet"
            disabled={edits.length === 0}
            onClick={() => put({ ...draft, cues: usual }, null)}
          >
            {t("lead.cues.defaults")}
          </Button>
        )}
        <CopyFrom others={props.others} copy={props.copy} />
      </div>
      <p className="soft">{t("rules.caution")}</p>
    </section>
  );
}

/** What a cue may go along with: all but itself and those that go along with it. */
function othersFor(cue: Cue, list: readonly Cue[]): Cue[] {
  const known = new Map(list.map((one) => [one.id, one]));
  return list.filter((one) => one !== cue && !leadersOf(one, known)?.includes(cue));
}

function ChapterHead(props: { chapter: Chapter; contacts: EffectiveContacts | null; ring: boolean }) {
  const { chapter, contacts, ring } = props;
  const { name } = chapter;
  const anchor = ({ c2: "C2", c3: "C3", max: "max" } as const)[name as "c2" | "c3" | "max"];
  const at = anchor && contacts ? anchorMs(contacts, anchor) : null;
  const key: WordKey = name === "totality" && ring ? "cues.chapter.ring" : `cues.chapter.${name}`;
  return (
    <h4>
      {t(key, { anchor: anchor ? anchorWords(anchor) : "" })}
      {at !== null && <span className="soft figures" dir="ltr">{` ${clockText(at)} UTC`}</span>}
    </h4>
  );
}
