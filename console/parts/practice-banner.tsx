/**
 * Marks a page as practice so that nobody can take it for the eclipse: the word, a sentence, and
 * a hatched frame around the whole screen. The frame lets every touch through.
 */
import { useWords } from "../words/words.ts";
import "./practice-banner.css";

interface PracticeBannerProps {
  /** When it ends by itself (S8), already as text with its scale; left out when not known. */
  endsText?: string | null;
  /** What is shown here really is capped or points away: filters may come off (S8). */
  safe?: boolean;
}

export function PracticeBanner({ endsText = null, safe = false }: PracticeBannerProps) {
  const { t } = useWords();
  return (
    <>
      <div className="practice-frame" aria-hidden="true" />
      <p className="practice-banner" role="status">
        <strong className="practice-banner-word">{t("practice.word")}</strong>
        <span>{t(safe ? "practice.sentenceSafe" : "practice.sentence")}</span>
        {endsText ? <span>{t("practice.ends", { time: endsText })}</span> : null}
      </p>
    </>
  );
}
