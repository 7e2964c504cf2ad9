"""Who may open what: one line for every address of the site, read by people and by the walk beside it.

    name        as in the packages' urls.py
    with        what stands in the address: a word of the cast (see conftest.py) or itself; after ? comes a query
    takes       get, post or both: every other method is answered with 405
    visitor … secretary
        yes     it opens, or the form is taken
        no      refused in words (403)
        in      asked to sign in
        none    for them there is no such thing (404)

The visitor is not signed in, the reader is a member who neither owns nor helps with the airframe. A new address needs
a line here; a look at the line is the question whether the page guards what it should.
"""

from dataclasses import dataclass

Cast = dict[str, str | int]
ROLES = ("visitor", "reader", "helper", "owner", "instructor", "secretary")

TABLE = """
name                       with                                takes    visitor reader helper owner instructor secretary

members:sign_in            -                                   get,post yes     yes    yes    yes   yes        yes
members:sign_out           -                                   post     in      yes    yes    yes   yes        yes
members:use_link           token                               get,post yes     yes    yes    yes   yes        yes
members:forgotten          -                                   get,post yes     yes    yes    yes   yes        yes
members:language           -                                   post     yes     yes    yes    yes   yes        yes
members:you                -                                   get      in      yes    yes    yes   yes        yes
members:details            -                                   get,post in      yes    yes    yes   yes        yes
members:preferences        -                                   get,post in      yes    yes    yes   yes        yes
members:password           -                                   get,post in      yes    yes    yes   yes        yes
members:leave              -                                   get,post in      yes    yes    yes   yes        yes
members:end_others         -                                   post     in      yes    yes    yes   yes        yes
members:end_visit          pk=visit_of_owner                   post     in      none   none   yes   none       none
members:list               -                                   get      in      no     no     no    no         yes
members:invite             -                                   get,post in      no     no     no    no         yes
members:invitations        -                                   get      in      no     no     no    no         yes
members:withdraw           pk=invitation                       post     in      no     no     no    no         yes
members:member             pk=member                           get      in      no     no     no    no         yes
members:edit_member        pk=member                           get,post in      no     no     no    no         yes
members:change_role        pk=member                           get,post in      no     no     no    no         yes
members:offer_new_password pk=member                           post     in      no     no     no    no         yes
members:let_go             pk=member                           get,post in      no     no     no    no         yes
members:let_back_in        pk=member                           post     in      no     no     no    no         yes
members:erase              pk=member                           get,post in      no     no     no    no         yes

fleet:edit_airframe        slug                                get,post in      no     yes    yes   yes        yes
fleet:see_mark             slug                                post     in      no     yes    yes   yes        yes
fleet:people               slug                                get,post in      no     no     yes   yes        yes
fleet:leave                slug                                get,post in      no     no     yes   yes        yes
fleet:edit_photo           slug                                get,post in      no     yes    yes   yes        yes
fleet:remove_photo         slug                                post     in      no     yes    yes   yes        yes
fleet:photo                slug,version                        get      in      yes    yes    yes   yes        yes
fleet:fit_receiver         slug                                get,post in      no     yes    yes   yes        yes
fleet:take_receiver_out    slug                                post     in      no     yes    yes   yes        yes
fleet:bind_receiver        slug                                post     in      no     yes    yes   yes        yes
fleet:receivers            -                                   get      in      yes    yes    yes   yes        yes
fleet:receiver             pk=receiver                         get      in      yes    yes    yes   yes        yes
fleet:new_receiver         -                                   get,post in      no     no     no    no         yes
fleet:edit_receiver        pk=receiver                         get,post in      no     no     no    no         yes
fleet:transmitters         -                                   get      in      yes    yes    yes   yes        yes
fleet:transmitter          pk=transmitter                      get      in      yes    yes    yes   yes        yes
fleet:new_transmitter      -                                   get,post in      yes    yes    yes   yes        yes
fleet:edit_transmitter     pk=transmitter                      get,post in      no     no     yes   yes        yes
fleet:edit_transmitter     pk=club_transmitter                 get,post in      no     no     no    yes        yes
fleet:prove_signs          pk=transmitter                      get,post in      no     no     yes   yes        yes
fleet:club_rules           -                                   get      in      yes    yes    yes   yes        yes
fleet:set_club_rules       -                                   get,post in      no     no     no    no         yes
fleet:new_mass_band        -                                   get,post in      no     no     no    no         yes
fleet:mass_band            pk=mass_band                        get,post in      no     no     no    no         yes
fleet:remove_mass_band     pk=mass_band                        post     in      no     no     no    no         yes

setups:new_airframe        -                                   get,post in      yes    yes    yes   yes        yes
setups:bench               slug                                get      in      yes    yes    yes   yes        yes
setups:linkages            slug                                get      in      yes    yes    yes   yes        yes
setups:start               slug=bare                           get,post in      no     yes    yes   yes        yes
setups:import              slug                                get,post in      no     yes    yes   yes        yes
setups:enter               slug                                get,post in      no     yes    yes   yes        yes
setups:check               slug                                get,post in      no     yes    yes   yes        yes
setups:revision_json       slug,number                         get      in      yes    yes    yes   yes        yes
setups:dial_in             slug,number                         get      in      yes    yes    yes   yes        yes
setups:draft               slug                                get,post in      no     yes    yes   yes        yes
setups:discard             slug                                post     in      yes    yes    yes   yes        yes
setups:have_back           slug,pk=thrown                      post     in      no     none   yes   none       none
setups:take_back           slug                                post     in      no     yes    yes   yes        yes
setups:do_again            slug                                post     in      no     yes    yes   yes        yes
setups:settle              slug                                post     in      no     yes    yes   yes        yes
setups:throws              slug                                get,post in      no     yes    yes   yes        yes
setups:coupling            slug?control=lever&channel=6&phase= get,post in      no     yes    yes   yes        yes
setups:rates               slug                                get,post in      no     yes    yes   yes        yes
setups:phase_changes       slug                                get      in      no     yes    yes   yes        yes
setups:rewire              slug                                post     in      no     yes    yes   yes        yes
setups:linkage             slug,index=0                        get,post in      no     yes    yes   yes        yes
setups:single              slug,key=balance                    get,post in      no     yes    yes   yes        yes
setups:single              slug,key=signal                     get,post in      no     yes    yes   yes        yes
setups:single              slug,key=remarks                    get,post in      no     yes    yes   yes        yes
setups:parts               slug,key=surfaces                   get      in      no     yes    yes   yes        yes
setups:parts               slug,key=channels                   get      in      no     yes    yes   yes        yes
setups:new_part            slug,key=surfaces                   get,post in      no     yes    yes   yes        yes
setups:new_part            slug,key=channels                   get,post in      no     yes    yes   yes        yes
setups:new_part            slug,key=controls                   get,post in      no     yes    yes   yes        yes
setups:new_part            slug,key=devices                    get,post in      no     yes    yes   yes        yes
setups:new_part            slug,key=phases                     get,post in      no     yes    yes   yes        yes
setups:part                slug,key=surfaces,index=0           get,post in      no     yes    yes   yes        yes
setups:part                slug,key=phases,index=1             get,post in      no     yes    yes   yes        yes
setups:part                slug,key=channels,index=6           get,post in      no     yes    yes   yes        yes
setups:remove_part         slug,key=surfaces,index=0           post     in      no     yes    yes   yes        yes

flights:line_up            -                                   get      in      yes    yes    yes   yes        yes
flights:airframe           slug                                get      in      yes    yes    yes   yes        yes
flights:history            slug                                get      in      yes    yes    yes   yes        yes
flights:compare            slug                                get      in      yes    yes    yes   yes        yes
flights:revision           slug,number                         get      in      yes    yes    yes   yes        yes
flights:change_card        slug,number=2                       get      in      yes    yes    yes   yes        yes
flights:roll_back          slug                                get,post in      no     yes    yes   yes        yes
flights:log_flight         slug                                get,post in      no     yes    yes   yes        yes
flights:flight             slug,pk=the_flight                  get      in      yes    yes    yes   yes        yes
flights:compensate         slug,pk=the_flight                  get,post in      no     yes    yes   yes        yes
flights:trim_home          slug,pk=the_flight                  get,post in      no     yes    yes   yes        yes
flights:log_work           slug                                get,post in      no     yes    yes   yes        yes
flights:measured           slug                                get,post in      no     yes    yes   yes        yes
flights:throw_check        slug,pk=the_check                   get      in      yes    yes    yes   yes        yes
flights:as_linkage         slug,pk=the_check,key=elevator      get      in      no     yes    yes   yes        yes
flights:balanced           slug                                get,post in      no     yes    yes   yes        yes
flights:take_over          slug                                get,post in      no     yes    yes   yes        yes
flights:ground             slug                                get,post in      yes    yes    yes   yes        yes
flights:release            slug                                get,post in      no     no     no    yes        yes
flights:log                slug                                get      in      yes    yes    yes   yes        yes
flights:withdraw           slug,kind=flight,pk=the_flight      get,post in      no     no     yes   yes        yes
flights:withdraw           slug,kind=grounding,pk=grounded     get,post in      no     no     no    yes        yes

sheets:still_good          token=copy_token                    get      yes     yes    yes    yes   yes        yes
sheets:paper               slug                                get      in      yes    yes    yes   yes        yes
sheets:handover_pdf        slug                                get      in      no     yes    yes   yes        yes
sheets:handover_json       slug                                get      in      no     yes    yes   yes        yes
sheets:lost                slug,pk=copy                        post     in      no     yes    yes   yes        yes
sheets:setup_sheet         slug,number                         get      in      yes    yes    yes   yes        yes
sheets:print_sheet         slug,number                         post     in      yes    yes    yes   yes        yes
sheets:change_card         slug,number=2                       get      in      yes    yes    yes   yes        yes
sheets:print_card          slug,number=2                       post     in      yes    yes    yes   yes        yes
sheets:pocket_card         slug,number                         get      in      yes    yes    yes   yes        yes
sheets:print_pocket_card   slug,number                         post     in      yes    yes    yes   yes        yes
sheets:phone               slug,number                         get      in      yes    yes    yes   yes        yes
sheets:print_phone         slug,number                         post     in      yes    yes    yes   yes        yes
sheets:many                -                                   get,post in      yes    yes    yes   yes        yes
sheets:batch               pk=batch_of_owner                   get      in      none   none   yes   none       none
sheets:batch_on            pk=batch_of_owner                   post     in      none   none   yes   none       none
sheets:batch_pdf           pk=batch_of_owner                   get      in      none   none   yes   none       none
sheets:batch_zip           pk=batch_of_owner                   get      in      none   none   yes   none       none

help:help                  -                                   get      in      yes    yes    yes   yes        yes

keeping:alive              -                                   get      yes     yes    yes    yes   yes        yes
keeping:ready              -                                   get      yes     yes    yes    yes   yes        yes
keeping:backups            -                                   get      in      no     no     no    no         yes
"""


@dataclass(frozen=True)
class Row:
    name: str
    given: str
    takes: tuple[str, ...]
    roles: dict[str, str]

    def __str__(self) -> str:
        return f"{self.name} {self.given}"

    @property
    def query(self) -> str:
        return self.given.partition("?")[2]

    def kwargs(self, cast: Cast) -> dict[str, str | int]:
        """What stands in the address: a word of the cast, or what is given itself."""
        found = {}
        for part in self.given.partition("?")[0].split(","):
            name, _, value = part.partition("=")
            if name != "-":
                found[name] = cast.get(value or name, value)
        return found


def _row(line: str) -> Row:
    name, given, takes, *cells = line.split()
    return Row(name, given, tuple(takes.split(",")), dict(zip(ROLES, cells, strict=True)))


ROWS = [_row(line) for line in TABLE.strip().splitlines()[1:] if line.strip()]
