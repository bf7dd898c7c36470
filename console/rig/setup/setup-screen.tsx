/**
 * The set-up screen, in the order of work: arm the phone, say what the filter is, the check list
 * of each rig, then how this phone shows and sounds things.
 */
import "../../words/bundles/kinds.ts";
import "../../words/bundles/phone.ts";
import "../../words/bundles/run.ts";
import type { ReactNode } from "react";
import { setUpChecksFor } from "../../../shared/plan/defaults/set-up-checks.ts";
import type { RigStatus } from "../../../shared/run/views/rig-status.ts";
import { Fence } from "../../parts/fence.tsx";
import { useWords } from "../../words/words.ts";
import { OneOpen } from "../one-open.tsx";
import type { PositionView } from "../place/position-watch.ts";
import { exposedNow } from "../run/exposed-now.ts";
import { FilterQuestion } from "../run/filter-question.tsx";
import { ownFilter } from "../run/own-filter.ts";
import { setFilter } from "../run/rig-reports.ts";
import type { RigScene } from "../run/rig-scene.ts";
import type { RigActs } from "../run/use-rig-run.ts";
import type { Sounds } from "../sound/use-sounds.ts";
import { ArmPart } from "./arm-part.tsx";
import { PhonePart, type PhonePartProps } from "./phone-part.tsx";
import { ReachPart } from "./reach-part.tsx";
import "./setup.css";

interface SetupScreenProps extends PhonePartProps {
  scene: RigScene;
  acts: RigActs;
  sounds: Sounds;
  /** Where the phone is; null until that is watched. */
  position: PositionView | null;
  /** "Has the site moved?", which comes later than the rest. */
  place: ReactNode;
}

export function SetupScreen({ scene, acts, sounds, position, place, ...phone }: SetupScreenProps) {
  const { t } = useWords();
  return (
    <div className="rig-setup" data-screen="setup">
      <h1 className="only-read-aloud">{t("rig.nav.setup")}</h1>
      <ArmPart {...sounds} position={position} />
      <OneOpen
        rigs={scene.rigs}
        first={scene.rigs.find((status) => !isSetUp(status))?.rig.id}
        beside={({ rig, checks }) => {
          const all = setUpChecksFor(rig);
          const done = all.filter((id) => checks[id]?.value).length;
          return (
            <span className="rig-soft" data-checks={`${done}/${all.length}`}>
              {t(`rigKind.${rig.kind}`)} · {t("rig.checks.count", { done, all: all.length })}
            </span>
          );
        }}
      >
        {(status) => <Checks status={status} scene={scene} acts={acts} />}
      </OneOpen>
      <ReachPart />
      <PhonePart {...phone} />
      <Fence instead={null}>{place}</Fence>
    </div>
  );
}

function Checks({ status, scene, acts }: { status: RigStatus; scene: RigScene; acts: RigActs }) {
  const { t } = useWords();
  const { rig } = status;
  return (
    <>
      {ownFilter(status) === "unknown" ? (
        <FilterQuestion
          status={status}
          exposed={exposedNow(scene, status)}
          onSay={(word, looked) =>
            acts.act(
              setFilter(status, word, scene.picture.lines, looked),
              `${rig.name}: ${t(`rig.filter.is.${word}`)}`,
            )
          }
        />
      ) : null}
      <ul className="rig-checks">
        {setUpChecksFor(rig).map((id) => {
          const checked = status.checks[id]?.value ?? false;
          return (
            <li key={id}>
              <button
                type="button"
                className="rig-check"
                data-action="check"
                data-check={id}
                aria-pressed={checked}
                onClick={() => acts.send(rig.id, { checks: { [id]: !checked } })}
              >
                <svg viewBox="0 0 24 24" aria-hidden="true" focusable="false">
                  <rect
                    x="1.5"
                    y="1.5"
                    width="21"
                    height="21"
                    fill="none"
                    stroke="currentColor"
                    strokeWidth="2"
                  />
                  {checked ? (
                    <path d="M5 12.5 10 18 19.5 5.5" fill="none" stroke="currentColor" strokeWidth="3" />
                  ) : null}
                </svg>
                {t(`check.${id}`)}
              </button>
              {id === "clock-photographed" && (
                <a
                  className="rig-reach-link"
                  href="/clock"
                  target="_blank"
                  data-action="clock"
                  rel="noopener"
                >
                  {t("rig.clock")}
                </a>
              )}
            </li>
          );
        })}
      </ul>
    </>
  );
}

function isSetUp(status: RigStatus): boolean {
  return (
    ownFilter(status) !== "unknown" && setUpChecksFor(status.rig).every((id) => status.checks[id]?.value)
  );
}
