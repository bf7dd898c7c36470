/**
 * Slows down guessing of the PIN: five wrong ones from an address in a minute and it waits a
 * minute; a hundred in ten minutes from everywhere and all new sign-ins wait. Sessions that are
 * open are never touched.
 */
import { RateLimiterMemory } from "rate-limiter-flexible";

export class SignInGuard {
  private readonly perAddress = new RateLimiterMemory({ points: 5, duration: 60, blockDuration: 60 });
  private readonly everywhere = new RateLimiterMemory({ points: 100, duration: 600, blockDuration: 60 });

  /** Seconds to wait before a try; 0 when it may be made. */
  async before(address: string): Promise<number> {
    const [own, all] = await Promise.all([this.perAddress.get(address), this.everywhere.get("all")]);
    const waits = [own, all].map((item) => (item && item.remainingPoints <= 0 ? item.msBeforeNext : 0));
    return Math.ceil(Math.max(...waits) / 1000);
  }

  async failed(address: string): Promise<void> {
    await Promise.allSettled([this.perAddress.consume(address), this.everywhere.consume("all")]);
  }
}
