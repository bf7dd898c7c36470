/**
 * The PIN, which the hub printed when it was first started, or a one-time code that another lead
 * shows. Several leads may be signed in.
 */
import { type FormEvent, useId, useRef, useState } from "react";
import { CODE_DIGITS, leadName, PIN_DIGITS } from "../../../shared/fields/sign-in.ts";
import { lengthOf } from "../../../shared/fields/text.ts";
import { chooseLanguage } from "../../parts/language.ts";
import { LanguageSelect } from "../../parts/language-select.tsx";
import { t } from "../../words/words.ts";
import { Button } from "./button.tsx";
import { hubApi, type Problem } from "./hub-api.ts";
import type { LeadToken } from "./lead-token.ts";
import { problemText } from "./problem-text.ts";

export function SignIn(props: {
  /** Why a session that was open is not: the hub ended it, or a site was restored in its place. */
  ended: "by hub" | "by restore" | null;
  /** A code that came with the address. */
  code: string | null;
  onSignedIn: (token: LeadToken) => void;
}) {
  const id = useId();
  const [by, setBy] = useState<"pin" | "code">(props.code === null ? "pin" : "code");
  const [secret, setSecret] = useState(props.code ?? "");
  const [name, setName] = useState("");
  const [busy, setBusy] = useState(false);
  const [problem, setProblem] = useState<Problem | null>(null);
  const field = useRef<HTMLInputElement>(null);

  async function signIn(event: FormEvent) {
    event.preventDefault();
    setBusy(true);
    const given = secret.replaceAll(/\s/g, "");
    const body = { ...(by === "pin" ? { pin: given } : { code: given }), name: name.trim() };
    const answer = await hubApi(null, () => undefined).send<{ token: string }>(
      "POST",
      "/api/lead/session",
      body,
    );
    setBusy(false);
    if (answer.ok) return props.onSignedIn(answer.value.token);
    setProblem(answer.problem);
    setSecret("");
    field.current?.focus();
  }

  return (
    <main className="sign-in" data-screen="sign-in">
      <h1 className="sign-in__name">{t("app.name")}</h1>
      <div className="sign-in__language">
        <LanguageSelect choose={chooseLanguage} />
      </div>
      <form className="sign-in__form" onSubmit={signIn}>
        <h2>{t("lead.signIn.title")}</h2>
        {props.ended && !problem && (
          <p role="status" data-ended={props.ended}>
            {t(props.ended === "by restore" ? "lead.signIn.restored" : "lead.signIn.ended")}
          </p>
        )}
        <label htmlFor={`${id}-${by}`}>{t(`lead.signIn.${by}`)}</label>
        <input
          ref={field}
          key={by}
          id={`${id}-${by}`}
          name={by}
          className="field field--large"
          type={by === "pin" ? "password" : "text"}
          inputMode="numeric"
          autoComplete={by === "pin" ? "current-password" : "one-time-code"}
          dir="ltr"
          required
          value={secret}
          aria-describedby={`${id}-says`}
          aria-invalid={problem !== null}
          onChange={(event) => setSecret(event.target.value)}
        />
        <p id={`${id}-says`} className={problem ? "says says--wrong" : "says"} role="alert">
          {problem
            ? signInProblem(problem, by)
            : t(
                by === "code"
                  ? "lead.signIn.codeWhere"
                  : props.ended === "by restore"
                    ? "lead.signIn.whereRestored"
                    : "lead.signIn.where",
              )}
        </p>
        <label htmlFor={`${id}-name`}>{t("lead.signIn.name")}</label>
        <input
          id={`${id}-name`}
          name="name"
          className="field"
          autoComplete="nickname"
          maxLength={lengthOf(leadName)}
          value={name}
          aria-describedby={`${id}-name-says`}
          onChange={(event) => setName(event.target.value)}
        />
        <p id={`${id}-name-says`} className="says">
          {t("lead.signIn.nameSays")}
        </p>
        <Button action="sign-in" kind="main" type="submit" disabled={busy || secret.trim() === ""}>
          {t("lead.signIn.do")}
        </Button>
        <Button
          action="sign-in-other-way"
          kind="quiet"
          onClick={() => {
            setBy(by === "pin" ? "code" : "pin");
            setSecret("");
            setProblem(null);
          }}
        >
          {t(by === "pin" ? "lead.signIn.useCode" : "lead.signIn.usePin")}
        </Button>
      </form>
    </main>
  );
}

/** Plain words for a sign-in that failed: wrong, malformed or tried too often. */
function signInProblem(problem: Problem, by: "pin" | "code"): string {
  const code = by === "code";
  if (problem.code === "not-signed-in") return t(code ? "lead.problem.wrongCode" : "lead.problem.wrongPin");
  if (problem.code === "bad-input")
    return code
      ? t("lead.problem.codeDigits", { digits: CODE_DIGITS })
      : t("lead.problem.pinDigits", PIN_DIGITS);
  const waitS = problem.data?.waitS;
  if (problem.code === "too-many" && typeof waitS === "number")
    return t("lead.problem.waitFor", { seconds: waitS });
  return problemText(problem);
}
