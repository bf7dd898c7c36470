/**
 * Where each rig stands: drag a rig, or move it by the arrow keys or by its figures. Between rigs in one
 * pair of hands stands how long the walk takes, which the schedule of hands reckons with.
 */
import "../../../words/bundles/prepare.ts";
import { type KeyboardEvent, type PointerEvent, useRef, useState } from "react";
import { SpotSchema } from "../../../../shared/plan/model/equipment.ts";
import type { Plan, Rig } from "../../../../shared/plan/model/plan.ts";
import { readWithin } from "../../../forms/field-range.ts";
import { NumberField } from "../../../forms/number-field.tsx";
import { t } from "../../../words/words.ts";
import { Button } from "../../shell/button.tsx";
import type { PlanChange, PlanEditor } from "../use-plan-editor.ts";
import {
  barM,
  movedBy,
  PICTURE,
  REACHES_M,
  type Spots,
  toPicture,
  toSpot,
  type View,
  viewOf,
  walksOf,
} from "./field-layout.ts";
import "./field-part.css";

interface FieldPartProps {
  plan: Plan;
  editor: PlanEditor;
}

const KEYS: Readonly<Record<string, readonly [eastM: number, northM: number]>> = {
  ArrowLeft: [-1, 0],
  ArrowRight: [1, 0],
  ArrowUp: [0, 1],
  ArrowDown: [0, -1],
};
const FAR_STEP_M = 5;

export function FieldPart({ plan, editor }: FieldPartProps) {
  const planned = spotsOf(plan.rigs);
  // Null for a rig that was taken off the drawing again.
  const [moved, setMoved] = useState<Readonly<Record<string, Spots[string] | null>>>({});
  const [view, setView] = useState<View>(() => viewOf(planned));
  const [chosen, setChosen] = useState<string | null>(null);
  const spots = withMoved(planned, moved);
  const edited = plan.rigs.some(({ id }) => !sameSpot(planned[id], spots[id]));
  const place = (rigId: string, spot: Spots[string] | null) => {
    setMoved((before) => ({ ...before, [rigId]: spot }));
    setChosen(rigId);
  };
  const save = async () => {
    const change: PlanChange = (now) => ({ ...now, rigs: now.rigs.map((rig) => atSpot(rig, moved)) });
    if (await editor.save(change)) setMoved({});
  };
  const left = plan.rigs.filter(({ id }) => spots[id] === undefined);
  const rig = plan.rigs.find(({ id }) => id === chosen);
  const spot = rig && spots[rig.id];
  const step = REACHES_M.findIndex((reach) => reach >= view.reachM);
  const zoom = (by: number) => setView({ ...view, reachM: REACHES_M[step + by] ?? view.reachM });
  return (
    <section className="field-part" data-part="field" data-edited={edited}>
      <h2>{t("field.title")}</h2>
      <p className="soft">{t("field.says")}</p>
      <FieldPicture
        plan={plan}
        spots={spots}
        view={view}
        chosen={chosen}
        choose={setChosen}
        place={(rigId, to) => place(rigId, to)}
      />
      <div className="field-part__actions">
        <Button action="field-nearer" disabled={step <= 0} onClick={() => zoom(-1)}>
          {t("field.nearer")}
        </Button>
        <Button action="field-wider" disabled={step >= REACHES_M.length - 1} onClick={() => zoom(1)}>
          {t("field.wider")}
        </Button>
        <Button action="field-all" onClick={() => setView(viewOf(spots))}>
          {t("field.all")}
        </Button>
      </div>
      {left.length > 0 && (
        <div className="field-part__actions" data-unplaced={left.length}>
          <span>{t("field.unplaced")}</span>
          {left.map(({ id, name }) => (
            <Button key={id} action="place-rig" onClick={() => place(id, freeSpot(spots, view))}>
              {name}
            </Button>
          ))}
        </div>
      )}
      {rig && spot && (
        <fieldset className="field-part__chosen" data-chosen={rig.id}>
          <legend>{rig.name}</legend>
          <Metres
            key={`${rig.id}-east`}
            name="eastM"
            value={spot.eastM}
            change={(eastM) => place(rig.id, { ...spot, eastM })}
          />
          <Metres
            key={`${rig.id}-north`}
            name="northM"
            value={spot.northM}
            change={(northM) => place(rig.id, { ...spot, northM })}
          />
          <Button action="unplace-rig" kind="quiet" onClick={() => place(rig.id, null)}>
            {t("field.takeOff")}
          </Button>
        </fieldset>
      )}
      <Walks plan={plan} spots={spots} />
      <div className="field-part__actions">
        <Button
          action="save-field"
          kind="main"
          disabled={!edited || editor.saving}
          onClick={() => void save()}
        >
          {t("field.save")}
        </Button>
        {edited && (
          <Button action="drop-field" kind="quiet" onClick={() => setMoved({})}>
            {t("lead.site.drop")}
          </Button>
        )}
      </div>
    </section>
  );
}

interface FieldPictureProps {
  plan: Plan;
  spots: Spots;
  view: View;
  chosen: string | null;
  choose: (rigId: string) => void;
  place: (rigId: string, spot: Spots[string]) => void;
}

function FieldPicture({ plan, spots, view, chosen, choose, place }: FieldPictureProps) {
  const picture = useRef<SVGSVGElement>(null);
  const [dragged, setDragged] = useState<string | null>(null);
  const bar = barM(view.reachM);
  const barPx = (bar * PICTURE.width) / 2 / view.reachM;
  const at = (event: PointerEvent) => {
    const box = picture.current?.getBoundingClientRect();
    if (!box || box.width === 0) return null;
    const scale = PICTURE.width / box.width;
    return toSpot({ x: (event.clientX - box.left) * scale, y: (event.clientY - box.top) * scale }, view);
  };
  const key = (event: KeyboardEvent, rigId: string) => {
    const way = KEYS[event.key];
    const spot = spots[rigId];
    if (!way || !spot) return;
    event.preventDefault();
    const far = event.shiftKey ? FAR_STEP_M : 1;
    place(rigId, movedBy(spot, way[0] * far, way[1] * far));
  };
  return (
    // biome-ignore lint/a11y/useSemanticElements: a picture whose parts are moved
    <svg
      ref={picture}
      className="field-picture"
      viewBox={`0 0 ${PICTURE.width} ${PICTURE.height}`}
      direction="ltr"
      role="group"
      aria-label={t("field.title")}
    >
      <rect
        className="field-picture__ground"
        x={1}
        y={1}
        width={PICTURE.width - 2}
        height={PICTURE.height - 2}
      />
      <g className="field-picture__scale">
        <path d={`M ${PICTURE.width - 30} 60 V 18 m -8 12 l 8 -12 l 8 12`} />
        <text x={PICTURE.width - 30} y={80} textAnchor="middle">
          {t("frame.north")}
        </text>
        <path d={`M 20 ${PICTURE.height - 28} v 8 h ${barPx} v -8`} />
        <text x={20 + barPx / 2} y={PICTURE.height - 32} textAnchor="middle">{`${bar} m`}</text>
      </g>
      {walksOf(plan.rigs, spots).map(({ from, to, seconds }) => {
        const [a, b] = [spots[from], spots[to]];
        if (!a || !b) return null;
        const [p, q] = [toPicture(a, view), toPicture(b, view)];
        return (
          <g key={`${from} ${to}`} className="field-picture__walk" data-walk={`${from} ${to}`}>
            <line x1={p.x} y1={p.y} x2={q.x} y2={q.y} />
            <text x={(p.x + q.x) / 2} y={(p.y + q.y) / 2 - 6} textAnchor="middle">
              {`${seconds} s`}
            </text>
          </g>
        );
      })}
      {plan.rigs.map(({ id, name }, index) => {
        const spot = spots[id];
        if (!spot) return null;
        // Every other name above its mark: those of neighbours run into each other less.
        const nameY = index % 2 === 0 ? 32 : -20;
        const { x, y } = toPicture(spot, view);
        return (
          // biome-ignore lint/a11y/useSemanticElements: SVG has no button
          <g
            key={id}
            className="field-picture__rig"
            data-field-rig={id}
            data-east={spot.eastM}
            data-north={spot.northM}
            role="button"
            tabIndex={0}
            aria-pressed={id === chosen}
            aria-label={t("field.at", { rig: name, east: spot.eastM, north: spot.northM })}
            onFocus={() => choose(id)}
            onKeyDown={(event) => key(event, id)}
            onPointerDown={(event) => {
              event.currentTarget.setPointerCapture(event.pointerId);
              choose(id);
              setDragged(id);
            }}
            onPointerMove={(event) => {
              const to = dragged === id ? at(event) : null;
              if (to) place(id, to);
            }}
            onPointerUp={() => setDragged(null)}
            onPointerCancel={() => setDragged(null)}
          >
            <circle className="field-picture__reach" cx={x} cy={y} r={40} />
            <circle className="field-picture__mark" cx={x} cy={y} r={id === chosen ? 13 : 10} />
            <text x={x} y={y + nameY} textAnchor="middle">
              {name}
            </text>
          </g>
        );
      })}
    </svg>
  );
}

function Metres(props: { name: "eastM" | "northM"; value: number; change: (metres: number) => void }) {
  const { name, value, change } = props;
  const schema = SpotSchema.entries[name];
  const [typed, setTyped] = useState<string | null>(null);
  const wrong = typed !== null && readWithin(schema, typed) === null;
  return (
    <NumberField
      name={name}
      label={`field.${name}`}
      schema={schema}
      value={typed ?? String(value)}
      problem={wrong ? { key: "field.wrong" } : undefined}
      change={(text) => {
        setTyped(text);
        const metres = readWithin(schema, text);
        if (metres !== null) change(metres);
      }}
      left={() => !wrong && setTyped(null)}
    />
  );
}

/** The same in words, for whoever does not see the picture. */
function Walks({ plan, spots }: { plan: Plan; spots: Spots }) {
  const walks = walksOf(plan.rigs, spots);
  if (walks.length === 0) return <p className="soft">{t("field.noWalks")}</p>;
  const nameOf = (id: string) => plan.rigs.find((rig) => rig.id === id)?.name ?? id;
  return (
    <ul className="field-part__walks">
      {walks.map(({ from, to, seconds }) => (
        <li key={`${from} ${to}`}>{t("field.walk", { from: nameOf(from), to: nameOf(to), seconds })}</li>
      ))}
    </ul>
  );
}

function spotsOf(rigs: readonly Rig[]): Spots {
  return Object.fromEntries(rigs.flatMap(({ id, spot }) => (spot ? [[id, spot]] : [])));
}

function withMoved(planned: Spots, moved: Readonly<Record<string, Spots[string] | null>>): Spots {
  const all = Object.entries({ ...planned, ...moved });
  return Object.fromEntries(all.flatMap(([id, spot]) => (spot ? [[id, spot]] : [])));
}

function sameSpot(a: Spots[string] | undefined, b: Spots[string] | undefined): boolean {
  return a?.eastM === b?.eastM && a?.northM === b?.northM;
}

function atSpot(rig: Rig, moved: Readonly<Record<string, Spots[string] | null>>): Rig {
  const to = moved[rig.id];
  if (to === undefined) return rig;
  const { spot: _spot, ...rest } = rig;
  return to === null ? rest : { ...rest, spot: to };
}

/** Beside the others, so that no rig comes to lie over another. */
function freeSpot(spots: Spots, view: View): Spots[string] {
  const taken = Object.values(spots);
  const stepM = Math.max(2, Math.round(view.reachM / 4));
  for (let n = 0; ; n++) {
    const spot = movedBy(view.middle, ((n % 5) - 2) * stepM, -Math.floor(n / 5) * stepM);
    if (n > 100 || !taken.some((one) => sameSpot(one, spot))) return spot;
  }
}
