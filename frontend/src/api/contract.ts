/** The contract that this app is built for; written by write_contract.py. */
export const CONTRACT = 'c7955f73c4f5';
