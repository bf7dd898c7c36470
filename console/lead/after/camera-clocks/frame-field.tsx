/** One frame to choose, of which only its stamp is taken. */
import { type ReactNode, useId } from "react";
import { t } from "../../../words/words.ts";
import { stampOf } from "../file-source.ts";

export interface StampedFrame {
  name: string;
  localMs: number;
  stepMs: number;
}

/** What was chosen; "wrong" for a file without a time. */
export type ChosenFrame = StampedFrame | "wrong" | null;

export function FrameField(props: {
  name: string;
  label: string;
  frame: ChosenFrame;
  take: (frame: ChosenFrame) => void;
  children?: ReactNode;
}) {
  const id = useId();
  async function choose(file: File | undefined) {
    props.take(null);
    if (!file) return;
    const stamp = await stampOf(file);
    props.take(stamp ? { name: file.name, localMs: stamp.localMs, stepMs: stamp.stepMs } : "wrong");
  }
  return (
    <div className="labelled">
      <label htmlFor={id}>{props.label}</label>
      <input
        id={id}
        name={props.name}
        type="file"
        className="field"
        onChange={(event) => void choose(event.target.files?.[0])}
      />
      {props.frame === "wrong" && (
        <p className="says says--wrong" role="alert">
          {t("cameras.why.no time")}
        </p>
      )}
      {props.children}
    </div>
  );
}
