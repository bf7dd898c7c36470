/**
 * Marks a page as practice so that nobody can take it for the eclipse: the word, a sentence, the rate
 * of its clock, and a hatched frame around the whole screen. The frame lets every touch through.
 */
import { useWords } from "../words/words.ts";
import "./practice-banner.css";

interface PracticeBannerProps {
  /** What holds for whoever reads this page (practice-sentence.ts). */
  sentence: string;
  /** How much faster than the real clock. */
  rate: number;
  /** When it ends by itself (S8), already as text with its scale. */
  endsText: string;
}

export function PracticeBanner({ sentence, rate, endsText }: PracticeBannerProps) {
  const { t } = useWords();
  return (
    <>
      <div className="practice-frame" aria-hidden="true" />
      <p className="practice-banner" role="status" data-rate={rate}>
        <strong className="practice-banner-word">
          {t("practice.word")} × {rate}
        </strong>
        <span>{sentence}</span>
        <span>{t("practice.ends", { time: endsText })}</span>
      </p>
    </>
  );
}
