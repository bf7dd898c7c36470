/** The marshals' link as a code, a new one in its place, and a word to all of them. */
import { useEffect, useState } from "react";
import { lengthOf } from "../../../shared/fields/text.ts";
import { MarshalWordsSchema } from "../../../shared/protocol/marshals.ts";
import { HoldButton } from "../../parts/hold-button.tsx";
import { t } from "../../words/words.ts";
import { QrCode } from "../shell/join/qr-code.tsx";
import { useLead } from "../shell/lead-context.ts";
import { ProblemLine } from "../shell/problem-line.tsx";
import { useMarshalDesk } from "../shell/use-marshal-desk.ts";
import { useSend } from "../shell/use-send.ts";

const WORDS_MOST = lengthOf(MarshalWordsSchema.entries.text);

interface Link {
  url: string;
}

export function MarshalCard() {
  const { api } = useLead();
  const desk = useMarshalDesk();
  const { send, problem } = useSend();
  const [url, setUrl] = useState<string | null>(null);
  const [words, setWords] = useState("");
  useEffect(() => {
    const gone = new AbortController();
    void api.get<Link>("/api/marshals/link", gone.signal).then((answer) => {
      if (answer.ok && !gone.signal.aborted) setUrl(answer.value.url);
    });
    return () => gone.abort();
  }, [api]);
  const renew = async () => {
    const answer = await send<Link>("POST", "/api/marshals/link", {});
    if (answer.ok) setUrl(answer.value.url);
  };
  return (
    <section className="marshal-card">
      <h2>{t("lead.marshals.title")}</h2>
      <p>{t("lead.marshals.says")}</p>
      {url && <QrCode text={url} label={t("lead.marshals.title")} />}
      <p className="sheet__url" data-marshal-link={url}>
        {url}
      </p>
      <div data-action="marshal-link">
        <HoldButton
          label={t("lead.marshals.renew")}
          hint={t("lead.marshals.renewHint")}
          onHeld={() => void renew()}
        />
      </div>
      <form
        onSubmit={(event) => {
          event.preventDefault();
          if (words.trim() === "") return;
          void desk.tell(words.trim()).then((told) => told && setWords(""));
        }}
      >
        <label>
          {t("lead.marshals.tell")}
          <input value={words} maxLength={WORDS_MOST} onChange={(event) => setWords(event.target.value)} />
        </label>
        <button type="submit" className="button" data-action="tell-marshals">
          {t("lead.message.send")}
        </button>
      </form>
      <ProblemLine problem={desk.problem ?? problem} />
    </section>
  );
}
