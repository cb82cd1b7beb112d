/** The contract that this app is built for; written by write_contract.py. */
export const CONTRACT = '9d22d59c4b8b';
