/** The contract that this app is built for; written by write_contract.py. */
export const CONTRACT = 'f700b92c8d83';
