/**
 * Cameras' clocks: two thousand simulated cameras for each way of photographing the clock page, and how
 * many pictures of 24 megapixels a second the decoder takes. Seeded.
 */
import { readFileSync } from "node:fs";
import { prepareZXingModule, readBarcodes } from "zxing-wasm/reader";
import { photographedClock, type Shot } from "../../hub/people/photographed-clock.ts";
import { seeded } from "../../hub/people/seeded.ts";
import { SIMULATED_C2_MS, tryWay, WAYS } from "../../hub/people/simulated-camera.ts";
import { codeDigits, readClockCode } from "../../shared/images/camera-clock/clock-code.ts";
import { type Picture, sharpened } from "../../shared/images/camera-clock/sharpen.ts";

type Figure = { figure: string; value: number; unit: string };

const CAMERAS = 2000;
const PICTURES = 4;
const BLURRED = 20;

export async function run(): Promise<Figure[]> {
  const figures: Figure[] = [];
  for (const way of WAYS) {
    const { outside, p50Ms, p95Ms, errorP95Ms } = tryWay(way, CAMERAS, (seed) =>
      seeded(`${way.says} ${seed}`),
    );
    figures.push(
      { figure: `${way.says}: truth inside the bound`, value: 1 - outside / CAMERAS, unit: "of 1" },
      {
        figure: `${way.says}: half-width at C2, p50 (prototype ${way.p50Ms})`,
        value: Math.round(p50Ms),
        unit: "ms",
      },
      {
        figure: `${way.says}: half-width at C2, p95 (prototype ${way.p95Ms})`,
        value: Math.round(p95Ms),
        unit: "ms",
      },
      { figure: `${way.says}: true error, p95`, value: Math.round(errorP95Ms), unit: "ms" },
    );
  }
  return [...figures, ...(await decoding())];
}

async function decoding(): Promise<Figure[]> {
  const wasm = readFileSync(new URL(import.meta.resolve("zxing-wasm/reader/zxing_reader.wasm")));
  prepareZXingModule({ overrides: { wasmBinary: new Uint8Array(wasm).buffer } });
  const next = seeded("photographs of the clock");
  const digits = (n: number) =>
    [0, 1].map((panel) => codeDigits(SIMULATED_C2_MS + n * 100, panel as 0 | 1, "usual", 12) ?? "") as [
      string,
      string,
    ];
  const read = async (picture: Picture) =>
    (await readBarcodes(picture as never, { formats: ["QRCode"], maxNumberOfSymbols: 8 })).filter(
      ({ text }) => readClockCode(text),
    ).length;
  const large: Shot = {
    widthPx: 6000,
    heightPx: 4000,
    modulePx: 8,
    tiltDeg: 20,
    noise: 12,
    grid: 0.3,
    blurModules: 0,
  };
  let took = 0;
  let found = 0;
  for (let n = 0; n < PICTURES; n++) {
    const picture = photographedClock(digits(n), large, next);
    const before = performance.now();
    if ((await read(picture)) > 0) found++;
    took += performance.now() - before;
  }
  const soft: Shot = { widthPx: 1200, heightPx: 800, modulePx: 10, blurModules: 0.6, noise: 3 };
  let plain = 0;
  let masked = 0;
  for (let n = 0; n < BLURRED; n++) {
    const picture = photographedClock(digits(n), soft, next);
    if ((await read(picture)) > 0) plain++;
    if ((await read(sharpened(picture, 5))) > 0) masked++;
  }
  return [
    { figure: "24-megapixel photographs decoded", value: found / PICTURES, unit: "of 1" },
    {
      figure: "24-megapixel photographs a second",
      value: Math.round((PICTURES / took) * 10_000) / 10,
      unit: "/s",
    },
    { figure: "blur of 0.6 module: read as they are", value: plain / BLURRED, unit: "of 1" },
    { figure: "blur of 0.6 module: read when sharpened", value: masked / BLURRED, unit: "of 1" },
  ];
}
