"""The desk: pages in the browser on this computer, for teachers who do not type commands."""
