/** Every device's bound over the last minutes in one picture; the worst is named first. */

import { useEffect, useRef } from "react";
import uPlot from "uplot";
import "uplot/dist/uPlot.min.css";
import { boundText, clockText } from "../../../parts/time-format.ts";
import { t } from "../../../words/words.ts";
import type { ClockSample } from "./clock-status.ts";
import { deviceCurves } from "./device-curves.ts";

const HEIGHT_PX = 220;
/** The axis never shows less than this, ms: a quiet site is a quiet picture. */
const LEAST_MS = 20;

export function DeviceChart(props: {
  samples: readonly ClockSample[];
  nameOf: (deviceId: string) => string;
}) {
  const holder = useRef<HTMLDivElement>(null);
  const curves = deviceCurves(props.samples);
  const shape = curves.devices.map((device) => device.deviceId).join(" ");
  const chart = useRef<uPlot | null>(null);
  const data = [curves.atS, ...curves.devices.map((device) => device.boundMs)] as uPlot.AlignedData;
  const latest = useRef(data);
  latest.current = data;

  useEffect(() => {
    const element = holder.current;
    if (!element) return;
    const colour = (name: string) => getComputedStyle(document.documentElement).getPropertyValue(name).trim();
    const axis = {
      stroke: colour("--soft"),
      grid: { stroke: colour("--rule"), width: 1 },
      font: "13px B612",
    };
    const made = new uPlot(
      {
        width: element.clientWidth,
        height: HEIGHT_PX,
        legend: { show: false },
        cursor: { show: false },
        scales: { y: { range: (_, __, most) => [0, Math.max(LEAST_MS, (most ?? 0) * 1.1)] } },
        axes: [
          { ...axis, values: (_, ticks) => ticks.map((at) => clockText(at * 1000).slice(0, 5)) },
          { ...axis, size: 64, values: (_, ticks) => ticks.map((ms) => `${ms} ms`) },
        ],
        series: [
          {},
          ...shape
            .split(" ")
            .filter(Boolean)
            .map((_, index) => ({
              stroke: colour("--ink"),
              width: 1.5,
              dash: DASHES[index % DASHES.length] ?? [],
            })),
        ],
      },
      latest.current,
      element,
    );
    chart.current = made;
    const resize = new ResizeObserver(() => made.setSize({ width: element.clientWidth, height: HEIGHT_PX }));
    resize.observe(element);
    return () => {
      resize.disconnect();
      made.destroy();
      chart.current = null;
    };
  }, [shape]);
  useEffect(() => {
    chart.current?.setData(data);
  });

  return (
    <div className="device-chart">
      <div ref={holder} role="img" aria-label={t("lead.clock.chart")} />
      <table className="device-chart__table">
        <thead>
          <tr>
            <th scope="col">{t("lead.clock.device")}</th>
            <th scope="col">{t("lead.clock.bound")}</th>
          </tr>
        </thead>
        <tbody>
          {curves.devices.map((device) => (
            <tr key={device.deviceId} data-device={device.deviceId}>
              <th scope="row">
                <bdi>{props.nameOf(device.deviceId)}</bdi>
              </th>
              <td className="figures">
                <bdi>{boundText(device.last.boundMs)}</bdi>
              </td>
            </tr>
          ))}
        </tbody>
      </table>
    </div>
  );
}

const DASHES: readonly number[][] = [[], [6, 4], [2, 3], [10, 3, 2, 3]];
