/** The contract that this app is built for; written by write_contract.py. */
export const CONTRACT = 'acac86986f5c';
