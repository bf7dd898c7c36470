/**
 * What an INDI server sends, taken apart: a run of XML elements without a root, in pieces cut anywhere. Pure
 * but for its state. Only vectors that are read are handed on; how deep, how long and how much anything may
 * be is bounded, since whoever is at that address may send anything.
 */
import { StringDecoder } from "node:string_decoder";
import { SaxesParser } from "saxes";
import { type IndiVector, isRead } from "./indi-reading.ts";

/** More than this without an end of its element is no INDI (frames come only to who asks for them). */
const ELEMENT_MOST = 1_000_000;
/** A server of many devices defines itself in some 100 kB; this many characters over this span are none's. */
const FLOOD_MOST = 2_000_000;
const FLOOD_MS = 4000;
/** A member stands in a vector, a vector in the root. */
const DEPTH_MOST = 3;
/** Members of a vector, and characters of a name or value. */
const MEMBERS_MOST = 100;
const TEXT_MOST = 200;

const VECTOR = /^(def|set)(Switch|Number|Text|Light)Vector$/;
const MEMBER = /^(def|one)(Switch|Number|Text|Light)$/;

interface Taker {
  take(vector: IndiVector): void;
  /** A device has gone, or, with a name, one property of it. */
  drop(device: string, name: string): void;
}

export class IndiStream {
  private readonly parser = new SaxesParser();
  private readonly decoder = new StringDecoder("utf8");
  private vector: IndiVector | null = null;
  private member: string | null = null;
  private text = "";
  private depth = 0;
  /** Characters since the last tag: the parser keeps them all until the next one. */
  private sinceTag = 0;
  private floodSince = Number.NEGATIVE_INFINITY;
  private heard = 0;
  private trouble: string | null = null;

  constructor(private readonly taker: Taker) {
    this.parser.on("error", () => this.fail("says what is no INDI"));
    this.parser.on("opentag", ({ name, attributes }) =>
      this.opened(name, (key) => String(attributes[key] ?? "").slice(0, TEXT_MOST)),
    );
    this.parser.on("text", (text) => {
      if (this.member !== null && this.vector && this.text.length < TEXT_MOST)
        this.text = (this.text + text).trimStart().slice(0, TEXT_MOST);
    });
    this.parser.on("closetag", ({ name }) => this.closed(name));
    this.parser.write("<indi>");
  }

  /** @param mono monotonic, ms. What is wrong with all that came so far, in words; null for nothing. */
  write(bytes: Buffer, mono: number): string | null {
    if (this.trouble) return this.trouble;
    const chunk = this.decoder.write(bytes);
    this.sinceTag += chunk.length;
    if (this.sinceTag > ELEMENT_MOST) this.fail("sends an element without end");
    if (mono - this.floodSince > FLOOD_MS) {
      this.floodSince = mono;
      this.heard = 0;
    }
    this.heard += chunk.length;
    if (this.heard > FLOOD_MOST) this.fail("sends more than any INDI server");
    if (!this.trouble) this.parser.write(chunk);
    return this.trouble;
  }

  private fail(why: string): void {
    this.trouble ??= why;
  }

  private opened(tag: string, attribute: (key: string) => string): void {
    this.sinceTag = 0;
    this.text = "";
    // Elements that are only ever opened would fill the parser's memory.
    if (++this.depth > DEPTH_MOST) this.fail("says what is no INDI");
    if (this.trouble) return;
    if (VECTOR.test(tag)) {
      const name = attribute("name");
      this.vector = isRead(name)
        ? { device: attribute("device"), name, state: attribute("state"), members: new Map() }
        : null;
    } else if (MEMBER.test(tag)) this.member = attribute("name");
    else if (tag === "delProperty") this.taker.drop(attribute("device"), attribute("name"));
  }

  private closed(tag: string): void {
    this.sinceTag = 0;
    this.depth--;
    if (this.trouble) return;
    const { vector, member } = this;
    if (MEMBER.test(tag)) {
      if (vector && member !== null && vector.members.size < MEMBERS_MOST)
        vector.members.set(member, this.text.trim());
      this.member = null;
    } else if (VECTOR.test(tag)) {
      if (vector) this.taker.take(vector);
      this.vector = null;
    }
  }
}
