"""Numbers in, numbers out: encodings, CIELAB, differences, the neutral fit, warmth, skin tone, density.

Nothing here knows a file, a table or a screen. Colours are CIELAB 1976, D65, 2° observer (ISO/CIE 11664-4)
unless a name says otherwise; *linear* always means linear light on the sRGB primaries, white at 1.
"""
