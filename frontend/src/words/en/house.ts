export const house = {
  'house.title_block': 'Title block',
  'house.today': 'Today',
  'house.yard': 'Yard',
  'house.room_missing': 'This room could not be fetched. Is Ringwise still running? Load the page again.',
  'house.nowhere': 'Nothing lives at this address',
  'house.nowhere_way': '{path} names no room. Go to the yard or to today below.',
} as const;
