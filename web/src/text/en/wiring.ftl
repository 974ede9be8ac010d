# Text of wiring.
wiring-amperes = { $amperes } A
wiring-fast = fast
wiring-class = class { $class }
wiring-ratio = { $primary }/{ $secondary } V
wiring-volt-amperes = { $power } VA
wiring-volts-dc = { $volts } V DC
wiring-limit = max { $amperes } A
wiring-scan = scan { $scan } ms
wiring-4-kw = 4 kW
wiring-5-hp = 5 hp
wiring-supply = { $volts } V { $hertz } Hz
