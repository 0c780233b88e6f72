package app.sidelong

import org.junit.Test
import org.junit.runner.RunWith

/** Every screen in every look: without complaint of the accessibility checker, and as its golden image shows it. */
@RunWith(ShellRunner::class)
class LooksTest {
    @Test fun phone() = look(Look.PHONE)
    @Test fun night() = look(Look.NIGHT)
    @Test fun small() = look(Look.SMALL)
    @Test fun smallNight() = look(Look.SMALL_NIGHT)
    @Test fun bigText() = look(Look.BIG_TEXT)
    @Test fun smallBigText() = look(Look.SMALL_BIG_TEXT)
    @Test fun arabic() = look(Look.ARABIC)
    @Test fun landscape() = look(Look.LANDSCAPE)
    @Test fun tablet() = look(Look.TABLET)
    @Test fun highContrast() = look(Look.PHONE, strong = true)
    @Test fun highContrastAtNight() = look(Look.NIGHT, strong = true)

    private fun look(look: Look, strong: Boolean = false) {
        val phone = Phone(look, strong = strong)
        phone.looksAsItDid(look.label + if (strong) "-high-contrast" else "") { seen -> Tour(phone, seen).go() }
    }
}
