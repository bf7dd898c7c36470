/** The lower half of the run screen: one thing to press (offer.ts), by finger or by any key. */
import { useEffect } from "react";
import { ConfirmButton } from "../../parts/confirm-button.tsx";
import { useWords } from "../../words/words.ts";
import { ByEye } from "./by-eye.tsx";
import { confirmWords } from "./cue-words.ts";
import { FilterQuestion } from "./filter-question.tsx";
import { keyConfirms } from "./key-confirms.ts";
import { offerOf } from "./offer.ts";
import { confirmTap, setFilter } from "./rig-reports.ts";
import type { RigScene } from "./rig-scene.ts";
import type { RigActs } from "./use-rig-run.ts";

interface ConfirmAreaProps {
  scene: RigScene;
  acts: RigActs;
  exposed: boolean;
  /** The rig whose filter the operator wants to speak of. */
  asking: string | null;
  onAsked: () => void;
}

export function ConfirmArea({ scene, acts, exposed, asking, onAsked }: ConfirmAreaProps) {
  const { t } = useWords();
  const { picture, rigs } = scene;
  const offer = offerOf(scene, asking);
  const confirms = offer.kind === "confirm" ? offer.line : null;

  const press = (): void => {
    if (!confirms || !acts.guard.press(performance.now())) return;
    const status = rigs.find((item) => item.rig.id === confirms.rigId);
    if (status) acts.act(confirmTap(confirms, status), `${confirms.rigName}: ${confirmWords(confirms)}`);
  };

  useEffect(() => {
    acts.guard.show(confirms?.key ?? null, performance.now());
  }, [acts.guard, confirms?.key]);

  useEffect(() => {
    const down = (event: KeyboardEvent): void => {
      const target = event.target as HTMLElement | null;
      const control = target?.closest("button, input, select, textarea, a, [role=alertdialog]");
      const own = control?.closest("[data-action=confirm]");
      const { key, repeat, ctrlKey, altKey, metaKey } = event;
      if (!keyConfirms({ key, repeat, ctrlKey, altKey, metaKey, onControl: !!control && !own })) return;
      event.preventDefault();
      press();
    };
    // Some browsers press a button when its space bar comes up again, though the press was taken.
    const up = (event: KeyboardEvent): void => {
      if (event.key === " " && (event.target as HTMLElement).closest?.("[data-action=confirm]"))
        event.preventDefault();
    };
    window.addEventListener("keydown", down);
    window.addEventListener("keyup", up);
    return () => {
      window.removeEventListener("keydown", down);
      window.removeEventListener("keyup", up);
    };
  });

  if (offer.kind === "question") {
    const question = offer.status;
    return (
      <FilterQuestion
        status={question}
        exposed={exposed}
        onSay={(word, looked) => {
          acts.act(
            setFilter(question, word, picture.lines, looked),
            `${question.rig.name}: ${t(`rig.filter.is.${word}`)}`,
          );
          onAsked();
        }}
        onCancel={question.rig.id === asking ? onAsked : undefined}
      />
    );
  }
  if (offer.kind === "totality") return <ByEye scene={scene} acts={acts} part="hold" />;
  if (!confirms) {
    return (
      <div className="rig-confirm" data-idle>
        <p className="rig-idle">{t(picture.instruction ? "rig.confirm.idle" : "rig.confirm.none")}</p>
      </div>
    );
  }
  const several = rigs.length > 1;
  return (
    <div
      className="rig-confirm"
      data-action="confirm"
      data-cue={confirms.id}
      data-rig={confirms.rigId}
      data-mode={confirms.mode}
    >
      <ConfirmButton
        label={several ? `${confirms.rigName}: ${confirmWords(confirms)}` : confirmWords(confirms)}
        hint={t("rig.confirm.hint")}
        tone={confirms.cue.confirm ? "filled" : "outlined"}
        onPress={press}
      />
    </div>
  );
}
