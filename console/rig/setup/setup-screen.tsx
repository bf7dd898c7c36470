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
import { useWords } from "../../words/words.ts";
import { Fence } from "../device/fence.tsx";
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
      {scene.rigs.map((status) => (
        <Checks key={status.rig.id} status={status} scene={scene} acts={acts} />
      ))}
      <ReachPart />
      <PhonePart {...phone} />
      <Fence instead={null}>{place}</Fence>
    </div>
  );
}

function Checks({ status, scene, acts }: { status: RigStatus; scene: RigScene; acts: RigActs }) {
  const { t } = useWords();
  const { rig } = status;
  const checks = setUpChecksFor(rig);
  const done = checks.filter((id) => status.checks[id]?.value).length;
  return (
    <section className="rig-part" data-rig={rig.id} data-checks={`${done}/${checks.length}`}>
      <h2>
        {rig.name} <span className="rig-soft">{t(`rigKind.${rig.kind}`)}</span>
      </h2>
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
      <p className="rig-soft">{t("rig.checks.count", { done, all: checks.length })}</p>
      <ul className="rig-checks">
        {checks.map((id) => {
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
            </li>
          );
        })}
      </ul>
    </section>
  );
}
