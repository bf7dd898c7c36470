/**
 * A sidecar beside an image (XMP, ISO 16684-1): when it was taken, in which phase, how well that is
 * known. The image itself is never touched. An existing sidecar is merged: whatever others wrote in it
 * stays, but for the times, which are what this is for; a label or a caption of somebody's own stays, too.
 *
 * `xmp:Label`, `xmp:CreateDate`, `dc:subject`, `dc:description`, `photoshop:DateCreated`,
 * `exif:DateTimeOriginal`, `exif:GPS…` (of the site), and a namespace of our own for the rest. What we
 * wrote of keywords, label and caption is kept there as well, so that a later run takes back just that.
 */
import { DOMParser, type Document, type Element, XMLSerializer } from "@xmldom/xmldom";
import type { Place } from "../../eclipse/circumstances-types.ts";
import { isoUtc } from "../../time/iso.ts";
import type { PlacedFrame } from "../place/place-frame.ts";
import { phaseText, summaryOf } from "./labels.ts";

const NS = {
  x: "adobe:ns:meta/",
  rdf: "http://www.w3.org/1999/02/22-rdf-syntax-ns#",
  xmp: "http://ns.adobe.com/xap/1.0/",
  dc: "http://purl.org/dc/elements/1.1/",
  photoshop: "http://ns.adobe.com/photoshop/1.0/",
  exif: "http://ns.adobe.com/exif/1.0/",
  noonfall: "http://noonfall.example/frame/1.0/",
} as const;
type Prefix = keyof typeof NS;
const XML = "http://www.w3.org/XML/1998/namespace";
const XMLNS = "http://www.w3.org/2000/xmlns/";

const EMPTY = `<x:xmpmeta xmlns:x="${NS.x}"><rdf:RDF xmlns:rdf="${NS.rdf}"><rdf:Description rdf:about=""/></rdf:RDF></x:xmpmeta>`;

export class SidecarError extends Error {
  override name = "SidecarError";
}

export interface SidecarOf {
  placed: PlacedFrame;
  rigName: string;
  /** Date of greatest eclipse; null without one. */
  eclipse: string | null;
  place: Place | null;
}

/**
 * The text of the sidecar. Throws SidecarError where the existing one is no XMP: it is left as it is.
 * @param existing its text; null where there is none.
 */
export function sidecar({ placed, rigName, eclipse, place }: SidecarOf, existing: string | null): string {
  const { utcMs, boundMs, phase, filter, cueId, camera, frame } = placed;
  if (utcMs === null || phase === null) throw new SidecarError("its time is not known");
  const document = documentOf(existing);
  const writer = new Writer(document);
  const time = isoUtc(utcMs);
  writer.text("xmp", "CreateDate", time);
  writer.text("photoshop", "DateCreated", time);
  writer.text("exif", "DateTimeOriginal", time);
  if (place) {
    writer.text("exif", "GPSLatitude", degrees(place.latDeg, "N", "S"));
    writer.text("exif", "GPSLongitude", degrees(place.lonDeg, "E", "W"));
    writer.text("exif", "GPSAltitude", `${Math.round(Math.abs(place.heightM) * 10)}/10`);
    writer.text("exif", "GPSAltitudeRef", place.heightM < 0 ? "1" : "0");
  }
  writer.ownOrAbsent("xmp", "Label", "label", phaseText(phase), false);
  writer.ownOrAbsent("dc", "description", "summary", summaryOf(placed, rigName), true);
  writer.keywords(["solar eclipse", ...(eclipse ? [`eclipse ${eclipse}`] : []), phase.phase, rigName]);
  const number = (value: number | null, digits: number): string | null => value?.toFixed(digits) ?? null;
  const own: Record<string, string | null> = {
    boundS: number(boundMs === null ? null : boundMs / 1000, 3),
    phase: phase.phase,
    contact: phase.fromContact?.contact ?? null,
    fromContactS: number(phase.fromContact?.s ?? null, 3),
    covered: number(phase.covered, 3),
    rigId: placed.rigId,
    filter,
    cue: cueId,
    camera,
    cameraTime: frame.stamp?.text ?? null,
  };
  for (const [name, value] of Object.entries(own)) writer.text("noonfall", name, value);
  return `${new XMLSerializer().serializeToString(document)}\n`;
}

/** What a decoder puts where bytes were no UTF-8: writing that back would destroy what stood there. */
const NO_UTF8 = "\ufffd";

function documentOf(existing: string | null): Document {
  if (existing?.includes(NO_UTF8))
    throw new SidecarError("the sidecar that is there is not written in UTF-8; it is left as it is");
  try {
    const parser = new DOMParser({
      onError: (level, message) => {
        if (level !== "warning") throw new SidecarError(String(message));
      },
    });
    const document = parser.parseFromString(existing?.replace(/^\ufeff/, "") ?? EMPTY, "text/xml");
    if (document.getElementsByTagNameNS(NS.rdf, "RDF").length !== 1) throw new SidecarError("no RDF in it");
    return document;
  } catch (cause) {
    throw new SidecarError("the sidecar that is there cannot be read as XMP; it is left as it is", { cause });
  }
}

class Writer {
  private readonly descriptions: Element[];
  private readonly main: Element;

  constructor(private readonly document: Document) {
    const [rdf] = [...document.getElementsByTagNameNS(NS.rdf, "RDF")] as Element[];
    this.descriptions = [...document.getElementsByTagNameNS(NS.rdf, "Description")].filter(
      (node) => node.parentNode === rdf,
    ) as Element[];
    let [main] = this.descriptions;
    if (!main) {
      main = this.create("rdf", "Description");
      main.setAttributeNS(NS.rdf, "rdf:about", "");
      rdf?.appendChild(main);
      this.descriptions.push(main);
    }
    this.main = main;
  }

  /** Sets a property, wherever it was before; null takes it away. */
  text(prefix: Prefix, name: string, value: string | null): void {
    this.remove(prefix, name);
    if (value === null) return;
    const element = this.create(prefix, name);
    element.appendChild(this.document.createTextNode(value));
    this.main.appendChild(element);
  }

  /** A property that may be somebody's own: it is set where there is none, or where we had set it. */
  ownOrAbsent(prefix: Prefix, name: string, ours: string, value: string, inLanguages: boolean): void {
    const before = this.read(prefix, name);
    const mine = this.read("noonfall", ours);
    if (before !== null && before !== mine) return;
    this.text("noonfall", ours, value);
    if (!inLanguages) {
      this.text(prefix, name, value);
      return;
    }
    this.remove(prefix, name);
    const element = this.create(prefix, name);
    const item = this.item(value);
    item.setAttributeNS(XML, "xml:lang", "x-default");
    element.appendChild(this.list("Alt", [item]));
    this.main.appendChild(element);
  }

  /** Keywords: those of others stay, those that we had put are replaced. */
  keywords(words: readonly string[]): void {
    const ours = new Set(this.items("noonfall", "subject"));
    const others = this.items("dc", "subject").filter((word) => !ours.has(word) && !words.includes(word));
    for (const [prefix, all] of [
      ["dc", [...others, ...words]],
      ["noonfall", words],
    ] as const) {
      this.remove(prefix, "subject");
      const element = this.create(prefix, "subject");
      element.appendChild(
        this.list(
          "Bag",
          all.map((word) => this.item(word)),
        ),
      );
      this.main.appendChild(element);
    }
  }

  private item(text: string): Element {
    const item = this.create("rdf", "li");
    item.appendChild(this.document.createTextNode(text));
    return item;
  }

  private list(kind: "Bag" | "Alt", items: readonly Element[]): Element {
    const list = this.create("rdf", kind);
    for (const item of items) list.appendChild(item);
    return list;
  }

  private create(prefix: Prefix, name: string): Element {
    const element = this.document.createElementNS(NS[prefix], `${prefix}:${name}`);
    // Said once at the top of the properties, and not at each of them.
    if (this.main && prefix !== "rdf") this.main.setAttributeNS(XMLNS, `xmlns:${prefix}`, NS[prefix]);
    return element;
  }

  /** A property may stand as an element or, if it is simple, as an attribute (ISO 16684-1 §7.9.2.2). */
  private read(prefix: Prefix, name: string): string | null {
    for (const description of this.descriptions) {
      const [element] = this.children(description, prefix, name);
      if (element) return (element.textContent ?? "").trim();
      const attribute = description.getAttributeNS(NS[prefix], name);
      if (attribute) return attribute;
    }
    return null;
  }

  private items(prefix: Prefix, name: string): string[] {
    return this.descriptions.flatMap((description) =>
      this.children(description, prefix, name).flatMap((element) =>
        [...element.getElementsByTagNameNS(NS.rdf, "li")].map((item) => (item.textContent ?? "").trim()),
      ),
    );
  }

  private remove(prefix: Prefix, name: string): void {
    for (const description of this.descriptions) {
      for (const element of this.children(description, prefix, name)) description.removeChild(element);
      description.removeAttributeNS(NS[prefix], name);
    }
  }

  private children(description: Element, prefix: Prefix, name: string): Element[] {
    return [...description.getElementsByTagNameNS(NS[prefix], name)].filter(
      (node) => node.parentNode === description,
    ) as Element[];
  }
}

/** As XMP has it: whole degrees and minutes with a fraction, "25,41.400000N". */
function degrees(value: number, positive: string, negative: string): string {
  const size = Math.abs(value);
  const whole = Math.floor(size);
  return `${whole},${((size - whole) * 60).toFixed(6)}${value < 0 ? negative : positive}`;
}
