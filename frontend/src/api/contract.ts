/** The contract that this app is built for; written by write_contract.py. */
export const CONTRACT = 'cb15b6827fcc';
