/** What to do, in four pictures. The cautions come with them: a filter never comes off for a clock. */
import type { ReactNode } from "react";
import { useWords, type WordKey } from "../words/words.ts";

const STEPS: readonly { says: WordKey; picture: ReactNode }[] = [
  {
    says: "clock.step.lens",
    picture: (
      <>
        <rect x="6" y="22" width="30" height="20" rx="3" />
        <path d="M36 26h10v12H36z" />
        <path d="M58 12v40" strokeWidth="5" />
        <circle cx="58" cy="32" r="2.5" className="clock-hole" />
        <path d="M70 22h22v20H70z" />
        <path d="M75 27h4v4h-4zM83 27h4v4h-4zM75 34h4v4h-4z" className="clock-solid" />
      </>
    ),
  },
  {
    says: "clock.step.drive",
    picture: (
      <>
        <rect x="10" y="14" width="34" height="24" rx="3" />
        <rect x="20" y="20" width="34" height="24" rx="3" className="clock-paper" />
        <rect x="30" y="26" width="34" height="24" rx="3" className="clock-paper" />
        <path d="M72 32h8M72 38h8" strokeWidth="3.5" />
        <circle cx="90" cy="35" r="7" />
      </>
    ),
  },
  {
    says: "clock.step.burst",
    picture: (
      <>
        <rect x="14" y="8" width="72" height="48" rx="2" />
        <path d="M30 22h16v16H30zM54 22h16v16H54z" />
        <path
          d="M33 25h4v4h-4zM39 31h4v4h-4zM39 25h4v3h-4zM57 31h4v4h-4zM63 25h4v4h-4z"
          className="clock-solid"
        />
        <path d="M34 46h32" strokeWidth="4" />
      </>
    ),
  },
  {
    says: "clock.step.when",
    picture: (
      <>
        <path d="M4 44h92" strokeWidth="2" />
        <path d="M16 40V26m-5 5 5-6 5 6M84 40V26m-5 5 5-6 5 6" strokeWidth="3" />
        <circle cx="50" cy="22" r="14" className="clock-solid" />
        <circle cx="34" cy="22" r="0" />
        <path d="M32 44v6M68 44v6" strokeWidth="3" />
      </>
    ),
  },
];

export function WhatToDo() {
  const { t } = useWords();
  return (
    <section className="clock-how" aria-labelledby="clock-how">
      <h2 id="clock-how">{t("clock.how")}</h2>
      <ol className="clock-steps">
        {STEPS.map(({ says, picture }) => (
          <li key={says}>
            <svg viewBox="0 0 100 64" aria-hidden="true" focusable="false">
              {picture}
            </svg>
            <span>{t(says)}</span>
          </li>
        ))}
      </ol>
      <p className="clock-caution">{t("clock.caution")}</p>
      <p>{t("clock.flicker")}</p>
    </section>
  );
}
