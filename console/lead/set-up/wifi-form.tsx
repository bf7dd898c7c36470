/** Name and password of the site's Wi-Fi, typed by the lead for the join sheet; not printed. */
import { type FormEvent, useId, useState } from "react";
import * as v from "valibot";
import { WIFI_LENGTHS, type Wifi, WifiSchema } from "../../../shared/protocol/wifi.ts";
import { CheckField } from "../../forms/check-field.tsx";
import { t } from "../../words/words.ts";
import { Button } from "../shell/button.tsx";
import { ProblemLine } from "../shell/problem-line.tsx";
import type { WifiKept } from "./use-wifi.ts";
import "./wifi-form.css";

const NONE: Wifi = { name: "", password: "", hidden: false };

/** `kept`: with what the hub has; drawn once that is known. */
export function WifiForm(props: { kept: WifiKept; now: Wifi | null }) {
  const { kept, now } = props;
  const id = useId();
  const [form, setForm] = useState<Wifi>(now ?? NONE);
  const [wrong, setWrong] = useState<"name" | "password" | null>(null);
  const change = (part: Partial<Wifi>) => {
    setForm({ ...form, ...part });
    setWrong(null);
  };

  function save(event: FormEvent) {
    event.preventDefault();
    const read = v.safeParse(WifiSchema, form);
    if (read.success) return void kept.keep(read.output);
    setWrong(read.issues[0].path?.[0]?.key === "password" ? "password" : "name");
  }
  const field = (name: "name" | "password") => (
    <div className="labelled">
      <label htmlFor={`${id}-${name}`}>{t(`lead.wifi.${name}`)}</label>
      <input
        id={`${id}-${name}`}
        name={`wifi-${name}`}
        className="field"
        dir="auto"
        autoComplete="off"
        autoCapitalize="none"
        spellCheck={false}
        value={form[name]}
        aria-invalid={wrong === name}
        aria-describedby={wrong === name ? `${id}-says` : undefined}
        onChange={(event) => change({ [name]: event.target.value })}
      />
      {wrong === name && (
        <p id={`${id}-says`} className="says says--wrong" role="alert">
          {t(`lead.wifi.wrong.${name}`, WIFI_LENGTHS[name])}
        </p>
      )}
    </div>
  );
  return (
    <form className="wifi-form no-print" data-wifi={now ? "kept" : "none"} onSubmit={save}>
      <h2>{t("lead.wifi.title")}</h2>
      <p className="soft">{t("lead.wifi.says")}</p>
      <div className="wifi-form__fields">
        {field("name")}
        {field("password")}
      </div>
      <CheckField
        name="wifi-hidden"
        label="lead.wifi.hidden"
        value={form.hidden}
        change={(hidden) => change({ hidden })}
      />
      <div className="wifi-form__fields">
        <Button action="keep-wifi" type="submit">
          {t("lead.wifi.keep")}
        </Button>
        {now && (
          <Button
            action="forget-wifi"
            kind="quiet"
            onClick={() => {
              setForm(NONE);
              void kept.keep(null);
            }}
          >
            {t("lead.wifi.forget")}
          </Button>
        )}
      </div>
      <ProblemLine problem={kept.problem} />
    </form>
  );
}
