/** What a rig is made of, as far as somebody knows it: optics, sensor, mount, camera, card and battery. */
import { MOUNTS } from "../../../../shared/budget/frame-turn.ts";
import { SENSOR_FORMATS_MM, TRACKING } from "../../../../shared/budget/framing.ts";
import { brightnessQ, PHENOMENA } from "../../../../shared/budget/phenomena.ts";
import { lengthOf } from "../../../../shared/fields/text.ts";
import { USUAL_DENSITY } from "../../../../shared/plan/budgets/rig-budget.ts";
import { EquipmentSchema } from "../../../../shared/plan/model/equipment.ts";
import type { RigKind } from "../../../../shared/plan/model/vocabulary.ts";
import { ChoiceField } from "../../../forms/choice-field.tsx";
import { NumberField } from "../../../forms/number-field.tsx";
import { readNumber } from "../../../forms/read-number.ts";
import { TextField } from "../../../forms/text-field.tsx";
import { t, type WordKey } from "../../../words/words.ts";
import { Button } from "../../shell/button.tsx";
import {
  type EquipmentField,
  type EquipmentForm,
  type EquipmentProblems,
  formatOf,
  hasUsual,
  schemaOf,
  sensorOfFormat,
  withUsual,
} from "./equipment-form.ts";

interface EquipmentFieldsProps {
  form: EquipmentForm;
  problems: EquipmentProblems;
  kind: RigKind;
  change: (form: EquipmentForm) => void;
}

const GROUPS: readonly { title: WordKey; fields: readonly EquipmentField[] }[] = [
  { title: "equipment.optics", fields: ["apertureMm", "fNumber", "factor", "filterDensity"] },
  { title: "equipment.sensor", fields: ["widthMm", "heightMm", "widthPx", "heightPx"] },
  {
    title: "equipment.frames",
    fields: ["iso", "frameMB", "burstPerS", "bufferFrames", "shutterLagS", "videoMbitPerS"],
  },
  { title: "equipment.stores", fields: ["cardGB", "cardMBPerS", "batteryWh", "drawW"] },
];

const CAMERA_MOST = lengthOf(EquipmentSchema.entries.camera);

export function EquipmentFields({ form, problems, kind, change }: EquipmentFieldsProps) {
  return (
    <div className="equipment-fields">
      {hasUsual(kind) && (
        <div>
          <Button action="usual-equipment" onClick={() => change(withUsual(form, kind))}>
            {t("equipment.usual")}
          </Button>
          <p className="soft">{t("equipment.usualSource")}</p>
        </div>
      )}
      {GROUPS.map(({ title, fields }) => (
        <fieldset key={title} className="equipment-fields__group">
          <legend>{t(title)}</legend>
          {title === "equipment.sensor" && (
            <ChoiceField
              name="format"
              label="equipment.format"
              value={formatOf(form)}
              none="equipment.unsaid"
              options={Object.keys(SENSOR_FORMATS_MM).map((name) => [name, `${name.replace("x", " × ")} mm`])}
              change={(format) => change({ ...form, ...sensorOfFormat(format, form) })}
            />
          )}
          {fields.map((name) => (
            <NumberField
              key={name}
              name={name}
              label={`equipment.${name}`}
              schema={schemaOf(name)}
              value={form[name]}
              problem={problems[name]}
              change={(text) => change({ ...form, [name]: text })}
            />
          ))}
          {title === "equipment.optics" && (
            <>
              <ChoiceField
                name="mount"
                label="equipment.mount"
                value={form.mount}
                none="equipment.unsaid"
                options={MOUNTS.map((one) => [one, t(`equipment.mount.${one}`)])}
                change={(mount) => change({ ...form, mount })}
              />
              <ChoiceField
                name="tracking"
                label="equipment.tracking"
                value={form.tracking}
                none="equipment.unsaid"
                options={TRACKING.map((one) => [one, t(`equipment.tracking.${one}`)])}
                change={(tracking) => change({ ...form, tracking })}
              />
            </>
          )}
          {title === "equipment.stores" && (
            <TextField
              name="camera"
              label="equipment.camera"
              value={form.camera}
              most={CAMERA_MOST}
              change={(camera) => change({ ...form, camera })}
            />
          )}
        </fieldset>
      ))}
      <OwnBrightness form={form} problems={problems} change={change} />
    </div>
  );
}

/** Closed until somebody knows better than the table; beside each field stands the table's value. */
function OwnBrightness({ form, problems, change }: Omit<EquipmentFieldsProps, "kind">) {
  const density = readNumber(form.filterDensity) ?? USUAL_DENSITY;
  const own = Object.values(form.brightness).filter((typed) => typed.trim() !== "").length;
  return (
    <details className="own-brightness" open={own > 0 || undefined}>
      <summary data-action="own-brightness">{t("brightness.title")}</summary>
      <p className="soft">{t("brightness.says")}</p>
      <div className="own-brightness__fields">
        {PHENOMENA.map((of) => (
          <TextField
            key={of}
            name={`q-${of}`}
            label={`phenomenon.${of}`}
            unit={t("brightness.table", { q: brightnessQ(of, density).toFixed(1).replace(/\.0$/, "") })}
            value={form.brightness[of] ?? ""}
            problem={problems[of]}
            figures
            inputMode="decimal"
            change={(text) => change({ ...form, brightness: { ...form.brightness, [of]: text } })}
          />
        ))}
      </div>
    </details>
  );
}
