/** The way from screen to screen, palette, language and sign-out. */
import { chooseLanguage } from "../../parts/language.ts";
import { LanguageSelect } from "../../parts/language-select.tsx";
import type { PaletteChoice, usePalette } from "../../parts/use-palette.ts";
import { t } from "../../words/words.ts";
import { Button } from "./button.tsx";
import { useLead } from "./lead-context.ts";
import type { Screen } from "./route.ts";

const LINKS: readonly Screen[] = ["array", "site", "rigs", "practice", "clock", "record", "leads"];
const CHOICES: readonly PaletteChoice[] = ["auto", "glare", "dusk"];

export function MainNav(props: { screen: Screen; palette: ReturnType<typeof usePalette> }) {
  const { signOut } = useLead();
  const { choice, choose } = props.palette;
  return (
    <nav className="main-nav" aria-label={t("lead.nav.label")}>
      <ul className="main-nav__links">
        {LINKS.map((screen) => (
          <li key={screen}>
            <a
              href={`#${screen}`}
              className="main-nav__link"
              data-action={`go-${screen}`}
              {...(screen === props.screen ? { "aria-current": "page" } : {})}
            >
              {t(`lead.nav.${screen}`)}
            </a>
          </li>
        ))}
      </ul>
      <label className="main-nav__choice">
        <span className="only-read-aloud">{t("lead.palette.label")}</span>
        <select
          value={choice}
          data-action="palette"
          onChange={(event) => choose(event.target.value as PaletteChoice)}
        >
          {CHOICES.map((one) => (
            <option key={one} value={one}>
              {t(`lead.palette.${one}`)}
            </option>
          ))}
        </select>
      </label>
      <div className="main-nav__choice">
        <LanguageSelect choose={chooseLanguage} />
      </div>
      <Button action="sign-out" kind="quiet" onClick={signOut}>
        {t("lead.signOut")}
      </Button>
    </nav>
  );
}
