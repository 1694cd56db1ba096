"""Words that people choose first, from memory; no list of leaks was consulted.

Twelve characters are asked for, so most of the commonest passwords are too short
already. What is left of them is the same words made longer: twice, with a year or with
marks of exclamation behind. So the words are kept, and what was typed is reduced to
them before it is compared.
"""

_TYPED = """
password passwort passw0rd p@ssword p@ssw0rd pa55word passcode passphrase motdepasse
contrasena senha parola wachtwoord haslo losenord geheim secret secreto topsecret
qwerty qwertyuiop qwertz qwertzuiop azerty azertyuiop asdf asdfgh asdfghjkl zxcvbn
zxcvbnm yxcvbnm qazwsx qazwsxedc 1q2w3e 1q2w3e4r 1q2w3e4r5t 1qaz2wsx 1qaz2wsx3edc
zaq12wsx q1w2e3r4 q1w2e3r4t5 qweasd qweasdzxc qwe asd abc abcd abcdef abcdefgh
abcdefghijkl abcabc aabbcc letmein letmeinnow welcome willkommen bienvenue bienvenido
admin administrator administrateur root superuser sysadmin user username guest test
testing tester temp temporary default changeme changeit changethis newpassword
mypassword yourpassword thepassword login logon signin access account master iloveyou
ichliebedich jetaime teamo loveyou lovely love sunshine princess prinzessin princesa
dragon monkey football baseball basketball soccer hockey superman batman spiderman
ironman wonderwoman pokemon pikachu naruto starwars startrek matrix trustno one
whatever shadow michael jennifer jordan jessica ashley daniel andrew joshua matthew
charlie thomas robert anthony nicole amanda hannah michelle george william oliver
sophie anna maria juan pedro luis jose alexander samantha elizabeth benjamin
computer internet network server database windows microsoft google facebook youtube
android iphone samsung nokia laptop keyboard mouse monitor wireless freedom liberty
mustang ferrari porsche mercedes corvette harley yamaha kawasaki toyota honda
summer winter spring autumn sommer herbst fruehling january february march april may
june july august september october november december monday tuesday wednesday thursday
friday saturday sunday cookie chocolate cheese banana orange apple cherry strawberry
pepper ginger coffee butterfly flower rose daisy jasmine tiger lion eagle falcon
phoenix panther wolf bear dolphin turtle snoopy scooby garfield mickey tinkerbell
hello hallo bonjour hola ciao helloworld goodbye blink purple yellow green silver
golden diamond crystal rainbow unicorn heaven angel angels jesus christ god blessed
killer hunter ranger soldier warrior ninja samurai knight wizard merlin gandalf
hogwarts harrypotter voldemort fuckyou fuckoff asshole bitch bullshit biteme
maverick cowboy yankees lakers chelsea arsenal liverpool barcelona realmadrid juventus
manchester cricket rugby tennis golf golfer fishing hunting skateboard snowboard
tree trees oak oaktree heritage arborist treework chainsaw climber inspection inspector
support supports underprop cable anchor company office business london paris berlin
madrid rome newyork america england germany france espana italia canada australia
correcthorsebatterystaple tobeornottobe
"""

WORDS = frozenset(_TYPED.split())
RUNS = (
    "01234567890123456789",
    "98765432109876543210",
    "abcdefghijklmnopqrstuvwxyz",
    "zyxwvutsrqponmlkjihgfedcba",
    "qwertyuiopasdfghjklzxcvbnm",
    "qwertzuiopasdfghjklyxcvbnm",
    "azertyuiopqsdfghjklmwxcvbn",
    "1q2w3e4r5t6y7u8i9o0p",
    "1qaz2wsx3edc4rfv5tgb6yhn7ujm",
)
"""Along the keyboard, along the alphabet, and counting."""
