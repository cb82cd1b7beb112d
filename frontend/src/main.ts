import './look/global.css';

import { mount } from 'svelte';

import App from './App.svelte';
import { startTheme } from './parts/theme.svelte';
import { startLanguage } from './words/words.svelte';

startTheme();
await startLanguage();
mount(App, { target: document.getElementById('app')! });
