/** The place in pictures: on the Earth, under the Sun's track, and the disc at any moment. */
import type { Circumstances } from "../../../../../shared/eclipse/circumstances-types.ts";
import { EmptyNote } from "../../../../parts/empty-note.tsx";
import { t } from "../../../../words/words.ts";
import { problemText } from "../../../shell/problem-text.ts";
import { placeSummary } from "../place-summary.ts";
import { readSkyline, type TypedPlace } from "../site-form.ts";
import { DiscPicture } from "./disc-picture.tsx";
import { PathMap } from "./path-map.tsx";
import { TrackPicture } from "./track-picture.tsx";
import { usePictureData } from "./use-picture-data.ts";
import "./site-pictures.css";

interface SitePicturesProps {
  circumstances: Circumstances;
  eclipse: string;
  place: TypedPlace;
  zone: string;
  /** As typed; pairs that cannot be read are left out. */
  skyline: string;
}

export function SitePictures(props: SitePicturesProps) {
  const { circumstances, eclipse, place } = props;
  const { data, problem } = usePictureData(eclipse, place);
  if (problem) return <EmptyNote text={problemText(problem)} />;
  if (!data) return <EmptyNote text={t("app.loading")} />;
  const { contacts } = placeSummary(circumstances);
  return (
    <div className="site-pictures">
      <PathMap path={data.path} distance={data.distance} place={place} />
      {circumstances.kind !== "none" && data.track.length > 1 && (
        <>
          <TrackPicture
            track={data.track}
            contacts={contacts}
            skyline={readSkyline(props.skyline) ?? []}
            zone={props.zone}
          />
          <DiscPicture
            key={`${eclipse} ${circumstances.kind}`}
            circumstances={circumstances}
            contacts={contacts}
            track={data.track}
            beads={data.beads}
            latDeg={place.latDeg}
          />
        </>
      )}
    </div>
  );
}
