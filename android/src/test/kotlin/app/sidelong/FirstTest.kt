package app.sidelong

import org.junit.Assert.assertTrue
import org.junit.Test
import org.junit.runner.RunWith

@RunWith(ShellRunner::class)
class FirstTest {
    @Test
    fun aWalk() {
        val phone = Phone()
        phone.picture("1-jobs")
        phone.touch("New car"); println(phone.screen.page.name); println(phone.texts()); println(phone.desk.problem?.error)
        phone.type("Number plate", "AB12 CDE")
        phone.picture("2-new")
        phone.touch("saloon")
        phone.picture("3-walk")
        println(phone.texts())
        repeat(6) { phone.touch("Nothing seen") }
        phone.picture("4-walk")
        val box = phone.car
        val r = phone.rect(box)
        phone.stroke(r.exactCenterX(), r.exactCenterY(), r.exactCenterX() + 60, r.exactCenterY() - 40)
        phone.picture("5-mark")
        phone.touch("scratch")
        phone.picture("6-marked")
        println(phone.texts())
        println("touches ${phone.touches}")
        phone.touch("More")
        phone.picture("7-job")
        assertTrue(phone.has("scratch"))
        phone.close()
    }
}
