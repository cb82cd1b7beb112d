/** The contract that this app is built for; written by write_contract.py. */
export const CONTRACT = 'eb94600d26df';
