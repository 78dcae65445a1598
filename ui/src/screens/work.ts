// The screens of the work itself, by the route that leads to them.
import type { Component } from 'svelte';
import Lost from './Lost.svelte';

type Work = {
  Record: Component<{ record: string; step: string | null; form: boolean }>;
  Alignment: Component<{ record: string; step: string }>;
  Review: Component<{ record: string }>;
  Signoff: Component<{ position: string }>;
};

const found = import.meta.glob('./*/{Record,Alignment,Review,Signoff}.svelte', {
  eager: true,
  import: 'default',
});
const pick = (path: string): never => (found[path] ?? Lost) as never;

export const work: Work = {
  Record: pick('./record/Record.svelte'),
  Alignment: pick('./alignment/Alignment.svelte'),
  Review: pick('./review/Review.svelte'),
  Signoff: pick('./signoff/Signoff.svelte'),
};
