export const settings = {
  'settings.title': 'Settings',
  'settings.reading': 'How you read',
  'settings.theme': 'Light or dark',
  'settings.theme_device': 'as the device',
  'settings.theme_light': 'light',
  'settings.theme_dark': 'dark',
  'settings.theme_hint': 'Light or dark is kept on this device, all else with the yard.',
  'settings.language_stored': 'The language is stored. To change it back, choose the other one.',
  'settings.stored_plain': '{line}. This is no step of the record; to change it back, write it again.',
  'settings.yard': 'Yard and place',
  'settings.owner': 'Who writes',
  'settings.owner_hint': 'Stands with each step of the record.',
  'settings.longitude': 'Longitude',
  'settings.longitude_hint':
    'Such as 13.4 E or 0.1 W. It is kept with the place; no date comes from it. May stay blank.',
  'settings.climate': 'How the year runs',
  'settings.keep_climate': 'Keep this',
  'settings.weather': 'Measured weather',
  'settings.day': 'The day that counts as today',
  'settings.day_free': 'It follows the clock of this machine: {day}.',
  'settings.day_pinned': 'It is held at {day}.',
  'settings.day_way':
    'It is written as “today” in collection.toml; take the line out to follow the clock again.',
  'settings.record': 'Latest steps',
  'settings.record_empty':
    'Each thing that you log, measure or move will stand here, with the way to take it back.',
  'settings.record_kept': 'What is taken back stays in the history.',
  'settings.undone': '(taken back)',
  'settings.take_back': 'Take back: {what}',
  'settings.kept': 'Where it is kept',
  'settings.kept_here':
    'Everything is kept on this machine, in one folder. Copy the folder and you have all of it.',
} as const;
