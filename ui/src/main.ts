// Starts the screens: theme first, so that nothing flashes, then the app.
import './theme/theme.css';
import { mount } from 'svelte';
import App from './App.svelte';
import { theme } from './theme/theme.svelte';

theme.apply();

const place = document.getElementById('app');
if (place) mount(App, { target: place });
