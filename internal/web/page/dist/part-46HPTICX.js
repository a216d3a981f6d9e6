import{a as t}from"./part-Y3SU5E6L.js";var r=()=>({title:"Alerts",root:t("section",null,t("h1",null,"Alerts"))});export{r as make};
