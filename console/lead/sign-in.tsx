/** The PIN, which the hub printed when it was first started. Several leads may be signed in. */
import { type FormEvent, useId, useRef, useState } from "react";
import { chooseLanguage } from "../parts/language.ts";
import { LanguageSelect } from "../parts/language-select.tsx";
import { t } from "../words/words.ts";
import { hubApi, type Problem } from "./api/hub-api.ts";
import type { LeadToken } from "./api/lead-token.ts";
import { problemText } from "./api/problem-text.ts";
import { Button } from "./frame/button.tsx";

export function SignIn(props: { ended: boolean; onSignedIn: (token: LeadToken) => void }) {
  const id = useId();
  const [pin, setPin] = useState("");
  const [name, setName] = useState("");
  const [busy, setBusy] = useState(false);
  const [problem, setProblem] = useState<Problem | null>(null);
  const field = useRef<HTMLInputElement>(null);

  async function signIn(event: FormEvent) {
    event.preventDefault();
    setBusy(true);
    const body = { pin: pin.trim(), name: name.trim() };
    const answer = await hubApi(null, () => undefined).send<{ token: string }>(
      "POST",
      "/api/lead/session",
      body,
    );
    setBusy(false);
    if (answer.ok) return props.onSignedIn(answer.value.token);
    setProblem(answer.problem);
    setPin("");
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
        {props.ended && !problem && <p role="status">{t("lead.signIn.ended")}</p>}
        <label htmlFor={`${id}-pin`}>{t("lead.signIn.pin")}</label>
        <input
          ref={field}
          id={`${id}-pin`}
          name="pin"
          className="field field--large"
          type="password"
          inputMode="numeric"
          autoComplete="current-password"
          required
          value={pin}
          aria-describedby={`${id}-says`}
          aria-invalid={problem !== null}
          onChange={(event) => setPin(event.target.value)}
        />
        <p id={`${id}-says`} className={problem ? "says says--wrong" : "says"} role="alert">
          {problem ? signInProblem(problem) : t("lead.signIn.where")}
        </p>
        <label htmlFor={`${id}-name`}>{t("lead.signIn.name")}</label>
        <input
          id={`${id}-name`}
          name="name"
          className="field"
          autoComplete="nickname"
          maxLength={40}
          value={name}
          aria-describedby={`${id}-name-says`}
          onChange={(event) => setName(event.target.value)}
        />
        <p id={`${id}-name-says`} className="says">
          {t("lead.signIn.nameSays")}
        </p>
        <Button action="sign-in" kind="main" type="submit" disabled={busy || pin.trim() === ""}>
          {t("lead.signIn.do")}
        </Button>
      </form>
    </main>
  );
}

/** Plain words for a sign-in that failed: wrong, malformed or tried too often. */
function signInProblem(problem: Problem): string {
  if (problem.code === "not-signed-in") return t("lead.problem.wrongPin");
  if (problem.code === "bad-input") return t("lead.problem.pinDigits");
  const waitS = problem.data?.waitS;
  if (problem.code === "too-many" && typeof waitS === "number")
    return t("lead.problem.waitFor", { seconds: waitS });
  return problemText(problem);
}
