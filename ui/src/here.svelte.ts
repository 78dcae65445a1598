// Where the page is, as state that screens can watch, and going elsewhere.
import { read, write, type Route } from './route';

class Here {
  route = $state<Route>(read(globalThis.location?.hash ?? ''));
  /** The place to come back to once someone acts again. */
  back = $state<string | null>(null);

  #moved = false;

  /** True once after each move by the person, so that the new screen takes the focus. */
  arrived(): boolean {
    const moved = this.#moved;
    this.#moved = false;
    return moved;
  }

  listen(): () => void {
    const follow = (): void => {
      this.#moved = true;
      this.route = read(location.hash);
    };
    addEventListener('hashchange', follow);
    return () => removeEventListener('hashchange', follow);
  }

  go(to: Route | string): void {
    location.hash = typeof to === 'string' ? to : write(to);
  }

  /** Goes to the list of people and remembers this place. */
  goToPeople(): void {
    if (this.route.screen !== 'people') this.back = write(this.route);
    this.go({ screen: 'people' });
  }
}

export const here = new Here();
