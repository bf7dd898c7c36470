/**
 * When the contacts really came here: calls by eye, and two frames of a camera whose clock is known.
 * Each as a sentence with its bound, all of them as a table to take away.
 */
import { type FormEvent, useId, useState } from "react";
import { SEEN_CONTACTS } from "../../../../shared/fields/seen-contact.ts";
import { type ContactAsSeen, contactsAsSeen } from "../../../../shared/images/contacts/contacts-as-seen.ts";
import type { SiteState } from "../../../../shared/run/state.ts";
import { t } from "../../../words/words.ts";
import { Button } from "../../shell/button.tsx";
import type { Problem } from "../../shell/hub-api.ts";
import { useLead } from "../../shell/lead-context.ts";
import { personOf } from "../../shell/person-of.ts";
import { ProblemLine } from "../../shell/problem-line.tsx";
import { saveFromHub } from "../../shell/save-file.ts";
import { useOrders } from "../../shell/use-order.tsx";
import { roundedWithin } from "./clock-sentence.ts";
import { type ChosenFrame, FrameField } from "./frame-field.tsx";

export function ContactsSeen(props: {
  state: SiteState;
  /** Whose frames are chosen, and how people call that camera. */
  camera: { rigId: string; camera: string; title: string } | null;
  titleOf: (rigId: string, camera: string) => string;
}) {
  const { state, camera, titleOf } = props;
  const { api } = useLead();
  const [problem, setProblem] = useState<Problem | null>(null);
  const seen = contactsAsSeen(state);
  async function table() {
    setProblem(await saveFromHub(api, "/api/contacts-seen.csv"));
  }
  const method = (one: ContactAsSeen) =>
    one.method === "call"
      ? t("cameras.seenCall", { who: personOf(one.by) })
      : t("cameras.seenFrames", { camera: titleOf(one.rigId ?? "", one.camera ?? "") });
  const knownClock =
    camera &&
    state.cameraClocks.findLast((one) => one.rigId === camera.rigId && one.camera === camera.camera);
  return (
    <section data-contacts-seen>
      <h2>{t("cameras.seen")}</h2>
      <p className="soft">{t("cameras.seenSays")}</p>
      {seen.length === 0 ? (
        <p>{t("cameras.seenNone")}</p>
      ) : (
        <ul className="contacts-seen">
          {seen.map((one) => (
            <li
              key={`${one.contact}${one.method}${one.rigId}${one.camera}${one.utcMs}`}
              data-seen={one.contact}
              data-method={one.method}
            >
              {sentence(one)} <span className="soft">{method(one)}</span>
            </li>
          ))}
        </ul>
      )}
      {seen.length > 0 && (
        <Button action="contacts-csv" onClick={() => void table()}>
          {t("cameras.seenTable")}
        </Button>
      )}
      <ProblemLine problem={problem} />
      {camera &&
        (knownClock && knownClock.basis.how !== "unknown" ? (
          <TwoFrames {...camera} />
        ) : (
          <p className="soft">{t("cameras.seenClockFirst", { camera: camera.title })}</p>
        ))}
    </section>
  );
}

function sentence({ contact, laterS, boundMs }: ContactAsSeen): string {
  const { shown, bound } = roundedWithin(Math.abs(laterS), boundMs / 1000);
  return t("cameras.seenSentence", {
    contact: contact.toUpperCase(),
    by: shown,
    way: laterS < 0 ? "earlier" : "later",
    bound,
  });
}

/** The last frame before and the first after, by their headers. */
function TwoFrames(props: { rigId: string; camera: string; title: string }) {
  const id = useId();
  const { give } = useOrders();
  const [contact, setContact] = useState<(typeof SEEN_CONTACTS)[number]>("c2");
  const [before, setBefore] = useState<ChosenFrame>(null);
  const [after, setAfter] = useState<ChosenFrame>(null);
  const usable = before !== null && after !== null && before !== "wrong" && after !== "wrong";
  const order = usable && after.localMs < before.localMs;
  async function submit(event: FormEvent) {
    event.preventDefault();
    if (!usable) return;
    await give({
      type: "noteSeenContact",
      contact,
      rigId: props.rigId,
      camera: props.camera,
      beforeMs: before.localMs,
      afterMs: after.localMs,
      stepMs: Math.max(before.stepMs, after.stepMs),
      beforeName: before.name,
      afterName: after.name,
    });
  }
  return (
    <form className="camera-form" data-form="seen" onSubmit={(event) => void submit(event)}>
      <p>{t("cameras.seenWhose", { camera: props.title })}</p>
      <div className="labelled">
        <label htmlFor={`${id}-contact`}>{t("cameras.seenContact")}</label>
        <select
          id={`${id}-contact`}
          name="seen-contact"
          className="field"
          value={contact}
          onChange={(event) => setContact(event.target.value as typeof contact)}
        >
          {SEEN_CONTACTS.map((one) => (
            <option key={one} value={one}>
              {one.toUpperCase()}
            </option>
          ))}
        </select>
      </div>
      <FrameField
        name="frame-before"
        label={t(`cameras.seenBefore.${contact}`)}
        frame={before}
        take={setBefore}
      />
      <FrameField
        name="frame-after"
        label={t(`cameras.seenAfter.${contact}`)}
        frame={after}
        take={setAfter}
      />
      {order && (
        <p className="says says--wrong" role="alert">
          {t("cameras.seenOrder")}
        </p>
      )}
      <button
        type="submit"
        className="button button--main"
        data-action="keep-seen"
        disabled={!usable || order}
      >
        {t("cameras.keep")}
      </button>
    </form>
  );
}
