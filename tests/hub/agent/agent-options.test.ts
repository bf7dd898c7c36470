/** The agent's command line: one sentence for each mistake. */
import { describe, expect, test } from "vitest";
import { readAgentOptions } from "../../../hub/agent/agent-options.ts";
import { UsageError } from "../../../hub/options.ts";

const WEST = "http://192.168.1.5:8620/rig#west.abcdefgh12345678";
const WIDE = "https://hub.local:8620/rig#wide.zyxwvuts87654321";

const rigs = (args: string[]) => {
  const options = readAgentOptions(args);
  if (options === "help" || options.list) throw new Error("no rigs");
  return options.rigs;
};
const mistake = (...args: string[]): string => {
  try {
    readAgentOptions(args);
  } catch (error) {
    if (error instanceof UsageError) return error.message.split("\n")[0] ?? "";
    throw error;
  }
  return "none";
};

describe("the agent's options", () => {
  test("one rig takes everything, wherever it stands", () => {
    expect(
      rigs(["--watch", "/card", "--join", WEST, "--indi", "pi.local:7700", "--gps", "10.0.0.2"]),
    ).toEqual([
      {
        hubUrl: "http://192.168.1.5:8620",
        rigId: "west",
        token: "abcdefgh12345678",
        watch: ["/card"],
        cameras: [],
        indi: [{ host: "pi.local", port: 7700 }],
        alpaca: [],
        gps: [{ host: "10.0.0.2", port: 2947 }],
      },
    ]);
  });

  test("several rigs, of several hubs: what follows a link is that rig's", () => {
    const [west, wide] = rigs([
      "--join",
      WEST,
      "--watch",
      "/a",
      "--join",
      WIDE,
      "--watch",
      "/b",
      "--alpaca",
      "auto",
    ]);
    expect(west).toMatchObject({ rigId: "west", watch: ["/a"], alpaca: [] });
    expect(wide).toMatchObject({
      rigId: "wide",
      hubUrl: "https://hub.local:8620",
      watch: ["/b"],
      alpaca: ["auto"],
    });
    // One code may name several rigs.
    expect(rigs(["--join", `${WEST}&east.abcdefgh12345678`]).map(({ rigId }) => rigId)).toEqual([
      "west",
      "east",
    ]);
  });

  test("a camera in the network may be named by its address alone", () => {
    expect(rigs(["--join", WEST, "--camera", "192.168.1.20"])[0]?.cameras).toEqual(["ptpip:192.168.1.20"]);
  });

  test.each([
    [[], /^--join is missing/],
    [["--join"], /join/],
    [["--join", ""], /^--join needs a value/],
    [["--join", "west"], /^--join must be the whole link of a rig/],
    [["--join", "ftp://hub/rig#west.abcdefgh12345678"], /^--join must be a link that begins with http/],
    [["--join", "http://hub:8620/rig"], /^--join: the link has no key/],
    [["--join", "http://hub:8620/rig#west"], /^--join: what stands after the # is no key/],
    [["--join", WEST, "--join", WEST], /^--join: rig west is joined twice/],
    [["--join", WEST, "--watch", "/a", "--watch", "/b"], /^--watch can be given once/],
    [["--join", WEST, "--camera", "auto", "--camera", "usb:001,004"], /^--camera can be given once/],
    [["--join", WEST, "--indi", "http://pi"], /^--indi must be HOST:PORT, not "http:\/\/pi"/],
    [["--join", WEST, "--indi", "pi:0"], /^--indi must be HOST:PORT/],
    [["--join", WEST, "--alpaca", "pi"], /^--alpaca must be HOST:PORT/],
    [["--join", WEST, "--gps", "pi:99999"], /^--gps must be HOST:PORT/],
    // Nothing that another program could take for an option of its own.
    [["--join", WEST, "--camera=--capture-image"], /^--camera must be auto, or an address/],
    [["--join", WEST, "--expose", "1"], /Unknown option '--expose'/],
    [["west"], /positional|Unexpected/],
  ] as [string[], RegExp][])("%j is refused", (args, why) => {
    expect(mistake(...args)).toMatch(why);
    // The key of a rig stands in no message.
    expect(mistake(...args)).not.toContain("abcdefgh12345678");
  });
});
