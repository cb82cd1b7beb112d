/** The contract that this app is built for; written by write_contract.py. */
export const CONTRACT = '3c1c5432b5c2';
