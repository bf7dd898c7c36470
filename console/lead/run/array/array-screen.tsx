/**
 * The array: every rig of the site in one table, worst on top, with what stands, what comes next
 * and the calls at the foot. Opening a rig slides its panel beside the table, never over it.
 */
import { useRef } from "react";
import { ownValue } from "../../../../shared/fields/own-key.ts";
import { EmptyNote } from "../../../parts/empty-note.tsx";
import { t } from "../../../words/words.ts";
import { SoundControl } from "../../shell/alerts/sound.tsx";
import { CrowdLine } from "../../shell/crowd-line.tsx";
import { useLead } from "../../shell/lead-context.ts";
import { namesOf } from "../../shell/say/who.ts";
import { useCrowd } from "../../shell/use-crowd.ts";
import { type RunNow, useRun } from "../../shell/use-run.ts";
import { AlertList, NothingNeeded } from "./alert-list.tsx";
import { AlertRate } from "./alert-rate.tsx";
import { type ArrayRow, ArrayTable } from "./array-table.tsx";
import { DoubtLine } from "./doubt-line.tsx";
import { isGlance } from "./filter-glance.ts";
import { FilterSentence, Glance } from "./glance.tsx";
import { SiteLine } from "./lines.tsx";
import { MarshalBand } from "./marshal-band.tsx";
import { onOldPlace } from "./old-place.ts";
import { RigPanel } from "./rig-panel.tsx";
import { rankOf, troublesOf } from "./rig-trouble.ts";
import { orderRows, type RaisedRows } from "./row-order.ts";
import { VariantForm } from "./variant-form.tsx";
import "./array-screen.css";

export function ArrayScreen(props: { item: string | null }) {
  const now = useRun();
  const crowd = useCrowd();
  const { cover } = useLead().view;
  const raised = useRef<RaisedRows>({});
  if (!now) return <EmptyNote text={t("app.loading")} />;
  const { run, alerts } = now;
  if (run.rigs.length === 0)
    return (
      <EmptyNote
        text={t("lead.array.empty")}
        action={
          <a className="button" href="#rigs">
            {t("lead.array.addRigs")}
          </a>
        }
      />
    );
  const troubles = new Map(run.rigs.map((status) => [status.rig.id, troublesOf(status, alerts, run)]));
  const ordered = orderRows(
    raised.current,
    run.rigs.map(({ rig }) => ({ rigId: rig.id, rank: rankOf(troubles.get(rig.id) ?? []) })),
    performance.now(),
  );
  raised.current = ordered.raised;
  const rows = ordered.order.flatMap((rigId): ArrayRow[] => {
    const status = run.rigs.find(({ rig }) => rig.id === rigId);
    return status
      ? [{ status, troubles: troubles.get(rigId) ?? [], up: ownValue(ordered.raised, rigId) !== undefined }]
      : [];
  });
  const open = run.rigs.find(({ rig }) => rig.id === props.item) ?? null;
  const glance = isGlance(run.contacts, run.gets.kind === "total", run.runNow);
  return (
    <div className="array" data-glance={glance} data-beside={open !== null}>
      <h1 className="only-read-aloud">{t("lead.nav.array")}</h1>
      <div className="array__site">
        <SiteLine rigs={run.rigs} contacts={run.contacts} runNowS={Math.floor(run.runNow / 1000)} />
        <DoubtLine run={run} />
        <OldPlaceLine now={now} />
        <div className="array__head">
          <FilterSentence now={now} large={glance} />
          {!glance && (
            <div className="array__told">
              <NothingNeeded now={now} />
              <AlertRate />
            </div>
          )}
          {!glance && <VariantForm now={now} />}
        </div>
        <AlertList now={now} siteOnly={glance} />
        <MarshalBand />
        <CrowdLine now={crowd.now} />
      </div>
      <div className="array__body">
        <div className="array__table">
          {glance ? (
            <Glance rows={rows} now={now}>
              {!cover && <SoundControl />}
              <VariantForm now={now} />
            </Glance>
          ) : (
            <ArrayTable rows={rows} now={now} open={open?.rig.id ?? null} />
          )}
        </div>
        {open && (
          <RigPanel key={open.rig.id} status={open} now={now} troubles={troubles.get(open.rig.id) ?? []} />
        )}
      </div>
    </div>
  );
}

/** After a move: whose phones still go by the place before. */
function OldPlaceLine({ now }: { now: RunNow }) {
  const old = onOldPlace(now.state, now.run.rigs, now.now);
  if (old.length === 0 || !now.presenceKnown) return null;
  return (
    <p className="array__doubt" data-old-place={old.length}>
      {t("lead.array.oldPlace", { count: old.length, all: now.run.rigs.length, who: namesOf(old) })}
    </p>
  );
}
