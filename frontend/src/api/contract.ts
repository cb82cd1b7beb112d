/** The contract that this app is built for; written by write_contract.py. */
export const CONTRACT = '5d81c199f161';
