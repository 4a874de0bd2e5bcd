"""What words of music mean, as patterns that a meaning has to match, written down from sources.

Sources: K. W. Gehrkens, *Music Notation and Terminology* (1914), sections 36 to 39 (repeats),
95 and 96 (auxiliary words), 109 to 118 (tempo), 120 to 131 (dynamics and expression), and
*Essentials in Conducting* (1919), the groups of tempi; the table of musical signs in
*Chambers's Twentieth Century Dictionary* (1908). Of these the sections on tempo, dynamics, repeats
and the table were read; what is marked ``memory`` was not. Tempi and dynamics are compared with
music21's tables, too.
"""

import re

from music21 import dynamics, tempo

READ = {
    "andante": r"walking|going|(moderately|medium) slow",
    "moderato": r"^moderate(ly)?$|(moderate|medium) speed",
    "allegro": r"^(fast|quick\w*|lively|cheerful|(fast|quick\w*) and lively)$",
    "piano": r"^(soft|quiet)(ly)?$",
    "forte": r"^(loud|strong)(ly)?$",
    "fine": r"\bend\b",
    "adagio": r"^(very )?slow(ly)?$|at ease|leisurely",
    "presto": r"^very (fast|quick)",
    "ritardando": r"slower|slow(ing)? down|held back",
    "a tempo": r"in time|(old|original|former) (speed|tempo)|to the tempo",
    "mezzo piano": r"(moderately|medium|half) (soft|quiet)",
    "mezzo forte": r"(moderately|medium|half) (loud|strong)",
    "crescendo": r"louder$",
    "diminuendo": r"(soft|quiet)er$",
    "da capo": r"beginning|start|top|head",
    "largo": r"\bbroad(ly)?$|^very slow(ly)?$",
    "lento": r"^(very )?slow(ly)?$",
    "allegretto": r"(moderately|medium|rather) (fast|quick)|little slower than allegro",
    "vivace": r"lively|vivacious|^very (fast|quick)",
    "rallentando": r"slower|slow(ing)? down",
    "accelerando": r"(fast|quick)er$|speed(ing)? up|hurrying",
    "pianissimo": r"^very (soft|quiet)",
    "fortissimo": r"^very (loud|strong)",
    "decrescendo": r"(soft|quiet)er$",
    "dal segno": r"\bsign$",
    "larghetto": r"(rather|fairly) slow|not so slow as largo|little largo",
    "prestissimo": r"as (fast|quick\w*) as possible|extremely|fastest",
    "con moto": r"motion|mov",
    "più mosso": r"^(faster|quicker)$|more mo",
    "meno mosso": r"^slower$|less mo",
    "ritenuto": r"^h[eo]ld(ing)? back|slower",
    "sforzando": r"accent",
    "fortepiano": r"^loud.*then soft|^loud.*at once soft",
    "tenuto": r"full value|^h[eo]ld$|sustained",
    "legato": r"smooth|connected|joined",
    "staccato": r"short|detached|separated",
    "grave": r"serious|heavy|solemn|very slow",
    "rubato": r"robbed|free|flexible",
    "allargando": r"broad(er|ening)|slowing",
    "stringendo": r"(fast|quick)er$|hurry|^press",
    "ad libitum": r"\bwill\b|free|pleasure|one likes",
    "tempo primo": r"(first|original)",
    "calando": r"(soft|quiet)er and slower|slower and (soft|quiet)er|dying",
    "pesante": r"heav|weighty",
    "con brio": r"spirit|brillian|vigou?r",
    "con fuoco": r"fir?e|fiery|extreme animation",
    "tranquillo": r"tranquil|calm|peaceful|quietly",
    "agitato": r"agitated|restless|hurried|excited",
    "ma non troppo": r"not too much",
    "cantabile": r"singing",
    "grazioso": r"grace",
    "assai": r"^(very|much|enough)$",
    "sostenuto": r"sustained|^held( out)?$",
    "poco a poco": r"little by little|bit by bit|^gradually$",
    "senza": r"^without$",
    "sempre": r"always",
    "maestoso": r"majest|stately",
    "molto": r"^(very|much|a lot)$",
    "poco": r"little|slightly|somewhat",
}
MEMORY = {
    "dolce": r"sweet|gent",
    "coda": r"ending|closing|tail",
    "marcato": r"marked|accented|stressed|emphas",
    "espressivo": r"express",
    "leggiero": r"light",
    "con pedale": r"^with (the )?pedal",
    "subito": r"sudden|at once",
    "morendo": r"dying|fading",
    "giocoso": r"play|merr|humor|jok",
    "una corda": r"^(with the |press the |use the )?soft pedal$|^one string$",
    "tre corde": r"^(without|release|lift|no) .*soft pedal$|^no soft pedal$|^three strings$",
    "senza pedale": r"^(no|without) (the )?pedal$",
}
WORDS = {**READ, **MEMORY}
SPEEDS = [
    ["grave"],
    ["largo", "adagio", "lento"],
    ["larghetto"],
    ["andante"],
    ["moderato"],
    ["allegretto"],
    ["allegro"],
    ["vivace", "presto"],
    ["prestissimo"],
]
"""The groups of tempi in Gehrkens, from slow to fast; *allegretto* is his "little slower than
allegro"."""


def fits(word: str, meaning: str) -> bool:
    """Whether the sources give a word that meaning."""
    return re.search(WORDS[word], meaning.replace(", ", " and ")) is not None


def speed(word: str) -> int:
    """Where a tempo stands among the groups from slow to fast."""
    (place,) = [number for number, group in enumerate(SPEEDS) if word in group]
    return place


def beats(word: str) -> int:
    """The beats per minute that music21 gives a tempo."""
    return tempo.defaultTempoValues[word]


def loudness(word: str) -> int:
    """Where a word of dynamics stands among music21's, from soft to loud."""
    letters = {name: short for short, name in dynamics.longNames.items()}[word.replace(" ", "")]
    return dynamics.shortNames.index(letters)
