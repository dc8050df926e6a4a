// Nothing of its own: what is compiled with it is the headers that tests share.
