"""Setup sheet, change card and pocket card: drawn, printed, and remembered as printed."""
