/**
 * "Has the site moved?" on the set-up screen: coordinates in, what this place gets out, worked
 * out on the phone. The solver and the elements of the one eclipse are fetched while the hub is
 * near and kept.
 */
import "../../words/bundles/phone.ts";
import "../../words/bundles/run.ts";
import "../../words/bundles/coordinates.ts";
import { useState } from "react";
import { circumstances } from "../../../shared/eclipse/circumstances.ts";
import type { Circumstances } from "../../../shared/eclipse/circumstances-types.ts";
import type { BesselianElements } from "../../../shared/eclipse/elements.ts";
import { parseCoordinates } from "../../../shared/places/parse-coordinates.ts";
import { localEclipse } from "../../../shared/plan/local-eclipse.ts";
import type { SiteState } from "../../../shared/run/state.ts";
import type { UtcMs } from "../../../shared/time/instants.ts";
import type { BrowserStore } from "../../link/browser-store.ts";
import { clockText } from "../../parts/time-format.ts";
import { lengthWords } from "../../parts/words-for-length.ts";
import { isWordKey, useWords } from "../../words/words.ts";
import { kmText } from "./km-text.ts";
import { type OwnPlace, TYPED_BOUND_M } from "./own-place.ts";
import type { PositionView, PositionWatch } from "./position-watch.ts";

export interface PlacePartProps {
  state: SiteState;
  own: OwnPlace | null;
  now: UtcMs;
  store: Pick<BrowserStore, "get" | "set">;
  /** Where the phone is; null until that is watched. */
  position: PositionView | null;
  onPosition: PositionWatch["note"] | undefined;
  onTake: (own: OwnPlace | null) => void;
}

const ELEMENTS_KEY = "elements";

/** Keeps the elements of the plan's eclipse on the phone. Call while the hub is near. */
export async function keepElements(
  eclipse: string,
  store: Pick<BrowserStore, "get" | "set">,
): Promise<BesselianElements | undefined> {
  const kept = await store.get<{ eclipse: string; elements: BesselianElements }>(ELEMENTS_KEY);
  if (kept?.eclipse === eclipse) return kept.elements;
  const { eclipseById } = await import("../../../shared/eclipse/table.ts");
  const elements = eclipseById(eclipse);
  if (elements) await store.set(ELEMENTS_KEY, { eclipse, elements });
  return elements;
}

export function PlacePart({ state, own, now, store, position, onPosition, onTake }: PlacePartProps) {
  const { t } = useWords();
  const { site, eclipse, revision } = state.plan;
  const [text, setText] = useState("");
  const [trouble, setTrouble] = useState<string | null>(null);
  const [found, setFound] = useState<OwnPlace | null>(null);
  if (!site || !eclipse) return null;

  const solve = async (latDeg: number, lonDeg: number, heightM: number, boundM: number): Promise<void> => {
    setTrouble(null);
    try {
      const elements = await keepElements(eclipse, store);
      if (!elements) return setTrouble(t("rig.place.noElements"));
      const result = circumstances(elements, { latDeg, lonDeg, heightM }, { placeBoundM: boundM });
      setFound({
        eclipse,
        latDeg,
        lonDeg,
        heightM,
        boundM,
        atUtcMs: now,
        lead: { latDeg: site.latDeg, lonDeg: site.lonDeg, heightM: site.heightM },
        planRevision: revision,
        endedUtcMs: null,
        circumstances: result,
      });
    } catch {
      setTrouble(t("rig.place.noElements"));
    }
  };
  const read = (): void => {
    const parsed = parseCoordinates(text);
    setFound(null);
    if ("refusal" in parsed) {
      const key = `coordinates.${parsed.refusal.code}`;
      setTrouble(isWordKey(key) ? t(key) : parsed.refusal.message);
    } else {
      const { latDeg, lonDeg, heightM } = parsed.place;
      void solve(latDeg, lonDeg, heightM ?? site.heightM, TYPED_BOUND_M);
    }
  };
  const locate = (): void => {
    navigator.geolocation.getCurrentPosition(
      ({ coords }) => {
        onPosition?.(coords);
        void solve(coords.latitude, coords.longitude, coords.altitude ?? site.heightM, coords.accuracy);
      },
      () => setTrouble(t("rig.place.noPosition")),
      { enableHighAccuracy: true, timeout: 30_000 },
    );
  };

  return (
    <section className="rig-part" data-part="place">
      <h2>{t("rig.place.title")}</h2>
      <p className="rig-soft">{t("rig.place.why")}</p>
      {position?.word === "away" ? (
        <p role="status" data-away>
          {t("rig.place.away", { km: kmText(position.awayM), place: t("rig.place.locate") })}
        </p>
      ) : null}
      <form
        className="rig-number"
        onSubmit={(event) => {
          event.preventDefault();
          read();
        }}
      >
        <label>
          <span>{t("rig.place.coordinates")}</span>
          <input
            type="text"
            dir="ltr"
            autoComplete="off"
            data-field="coordinates"
            aria-invalid={trouble !== null}
            value={text}
            onChange={(event) => setText(event.currentTarget.value)}
          />
        </label>
        <button type="submit">{t("rig.place.look")}</button>
        {trouble ? <p role="alert">{trouble}</p> : null}
      </form>
      {window.isSecureContext && "geolocation" in navigator ? (
        <button type="button" data-action="locate" onClick={locate}>
          {t("rig.place.locate")}
        </button>
      ) : null}
      {found ? (
        <div className="rig-found" data-kind={localEclipse(found.circumstances).kind}>
          <p>
            <strong>{placeWords(found.circumstances, t)}</strong>
          </p>
          <button
            type="button"
            className="rig-say"
            data-action="take-place"
            onClick={() => {
              onTake({ ...found, atUtcMs: now });
              setFound(null);
              setText("");
            }}
          >
            {t("rig.place.take")}
          </button>
        </div>
      ) : null}
      {own ? (
        <button type="button" data-action="lead-place" onClick={() => onTake(null)}>
          {t("rig.place.back", { site: site.name })}
        </button>
      ) : null}
    </section>
  );
}

type Translate = ReturnType<typeof useWords>["t"];

function placeWords(result: Circumstances, t: Translate): string {
  const gets = localEclipse(result);
  const { c2, max } = gets.contacts;
  if (gets.kind === "total" && c2 !== null)
    return t("rig.place.total", { time: clockText(c2), length: lengthWords(gets.totalityS) });
  if (gets.kind === "annular" && c2 !== null)
    return t("rig.place.annular", { time: clockText(c2), length: lengthWords(gets.ringS) });
  if (gets.kind === "partial" && max !== null) return t("rig.place.partial", { time: clockText(max) });
  return t("rig.empty.noEclipse");
}
