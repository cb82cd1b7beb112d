/** The contract that this app is built for; written by write_contract.py. */
export const CONTRACT = '4734f8fb1f44';
