// Sun or dark, chosen by hand. The choice is a preference of this screen and is kept as such.
export type Theme = 'sun' | 'dark';

const KEY = 'theme';

function remembered(): Theme {
  try {
    return localStorage.getItem(KEY) === 'dark' ? 'dark' : 'sun';
  } catch {
    return 'sun';
  }
}

class Choice {
  now = $state<Theme>(remembered());

  apply(): void {
    document.documentElement.dataset['theme'] = this.now;
  }

  turn(): void {
    this.now = this.now === 'sun' ? 'dark' : 'sun';
    this.apply();
    try {
      localStorage.setItem(KEY, this.now);
    } catch {
      // A screen that keeps nothing starts in sun the next time.
    }
  }
}

export const theme = new Choice();
