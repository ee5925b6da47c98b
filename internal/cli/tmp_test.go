package cli
import ("testing";"os";"context";"floorpace/internal/advice";"floorpace/internal/pace";"time")
func TestTmp(t *testing.T){
 for _, n := range []string{"cellar","dock"} {
 p, err := loadPlan("../../config/"+n+".toml"); if err!=nil {t.Fatal(err)}
 fl, _ := pace.Floors(p.Plan)
 b := time.Now()
 r, err := advice.Forecast(context.Background(), p.Plan, fl, advice.Options{Days:10000,Seed:1}, nil)
 t.Log(err, time.Since(b))
 printForecast(os.Stdout, r, p.Plan.Units)
 }
}
