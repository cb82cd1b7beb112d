/** The contract that this app is built for; written by write_contract.py. */
export const CONTRACT = '1fb97ca405ac';
