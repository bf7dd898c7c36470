/**
 * Keeps a fault in one part from taking the page down: the part is left out, said so, and tried
 * again after a second; clock, filter and the other parts go on.
 */
import { Component, type ReactNode } from "react";

interface FenceProps {
  instead: ReactNode;
  children: ReactNode;
}

const AGAIN_MS = 1000;

export class Fence extends Component<FenceProps, { broken: boolean }> {
  override state = { broken: false };
  private timer = 0;

  static getDerivedStateFromError(): { broken: boolean } {
    return { broken: true };
  }

  override componentDidCatch(error: unknown): void {
    console.error(error);
    this.timer = window.setTimeout(() => this.setState({ broken: false }), AGAIN_MS);
  }

  override componentWillUnmount(): void {
    window.clearTimeout(this.timer);
  }

  override render(): ReactNode {
    return this.state.broken ? this.props.instead : this.props.children;
  }
}
