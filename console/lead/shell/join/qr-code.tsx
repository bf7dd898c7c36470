/** A QR code, black on white in every palette; the library is fetched when the first one is shown. */
import { useEffect, useState } from "react";
import "./code-card.css";

export function QrCode(props: { text: string; label: string }) {
  const [source, setSource] = useState<string | null>(null);
  useEffect(() => {
    let shown = true;
    void import("qrcode")
      .then(({ default: qrcode }) =>
        qrcode.toString(props.text, { type: "svg", errorCorrectionLevel: "M", margin: 4 }),
      )
      .then((svg) => {
        if (shown) setSource(`data:image/svg+xml,${encodeURIComponent(svg)}`);
      });
    return () => {
      shown = false;
    };
  }, [props.text]);
  return source ? (
    <img className="qr-code" src={source} alt={props.label} data-qr={props.text} />
  ) : (
    <span className="qr-code" aria-hidden="true" />
  );
}
