/** What of a header becomes a frame: only what a log takes, whatever stands in a file. */
import * as v from "valibot";
import { describe, expect, it } from "vitest";
import { FrameSchema } from "../../../../shared/fields/image-frame.ts";
import { emptyHeaders } from "../../../../shared/images/headers/file-headers.ts";
import { frameOf } from "../../../../shared/images/headers/frame-of.ts";
import { exifStamp } from "../../../../shared/images/headers/stamps.ts";

const stampedIn = (text: string) => exifStamp("DateTimeOriginal", text, "35", "+05:45");
const frame = (more: object, name = "DCIM/IMG_0001.JPG") =>
  frameOf(name, { ...emptyHeaders("jpeg"), ...more });

describe("a frame", () => {
  it.each(["2027:08:02 12:02:07", "1970:01:01 00:00:00", "2000:02:29 23:59:59", "2027:12:31 23:59:59"])(
    "keeps the stamp %s as the camera wrote it",
    (text) => {
      const { stamp } = frame({ stamp: stampedIn(text) });
      expect(stamp).toMatchObject({ text: `${text}.35+05:45`, stepMs: 10, offsetMin: 345 });
    },
  );

  it.each([
    "1969:12:31 23:59:59",
    "1904:01:01 00:00:00",
    "0001:01:01 00:00:00",
    "2999:01:01 00:00:00",
    "0000:00:00 00:00:00",
    "    :  :     :  :  ",
    "2027:02:30 12:00:00",
  ])("has no time where a clock that was never set wrote %s", (text) => {
    expect(frame({ stamp: stampedIn(text) }).stamp).toBeNull();
  });

  it("is taken by the log, whatever the file's name and words are: one does not hold up the others", () => {
    const odd = [
      frame({}, "a\nb.JPG"),
      frame({}, "\u202egpj.JPG"),
      frame({}, `${"x".repeat(400)}.JPG`),
      frame({ model: "\u0001".repeat(200), iso: 1e9, fNumber: -1, exposureS: 1e6, durationS: Number.NaN }),
      frame({ stamp: stampedIn("1969:12:31 23:59:59") }),
      frame({
        stamp: { ...stampedIn("2027:08:02 12:02:07"), text: "x".repeat(100), field: "y".repeat(100) },
      }),
    ];
    for (const one of odd) expect(v.is(FrameSchema, one), JSON.stringify(one)).toBe(true);
  });
});
