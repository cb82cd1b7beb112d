import './look/global.css';

import { mount } from 'svelte';

import App from './App.svelte';
import { startLanguage } from './words/words.svelte';

await startLanguage();
mount(App, { target: document.getElementById('app')! });
