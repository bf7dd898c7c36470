/**
 * Keeps the screen on while the board is shown, where the browser can (secure pages only); asks
 * again whenever the page comes back. Where it cannot, nothing is lost but the convenience.
 */
import { useEffect } from "react";

export function useKeepAwake(): void {
  useEffect(() => {
    let over = false;
    let lock: WakeLockSentinel | null = null;
    const ask = async () => {
      if (over || document.visibilityState !== "visible" || !("wakeLock" in navigator)) return;
      try {
        const got = await navigator.wakeLock.request("screen");
        if (over) await got.release();
        else lock = got;
      } catch {
        // Refused (battery low, not secure): the screen follows its own settings.
      }
    };
    void ask();
    document.addEventListener("visibilitychange", ask);
    return () => {
      over = true;
      document.removeEventListener("visibilitychange", ask);
      void lock?.release().catch(() => undefined);
    };
  }, []);
}
